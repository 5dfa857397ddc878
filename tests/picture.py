"""Takes the picture of a report that README shows: ``python -m tests.picture PAGE PNG``."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.report.browser import chromium, opened

SIZE = (1000, 1150)


def main(page: str, picture: str) -> None:
    with chromium() as browser:
        tab, _, _ = opened(browser, Path(page).absolute(), SIZE)
        tab.screenshot(path=picture)


if __name__ == "__main__":
    main(*sys.argv[1:])
