"""The system's Chromium, driven without a window: for tests that look at a page as its reader does."""

from __future__ import annotations

import os
import shutil
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))),
    None,
)
PHONE, DESK = (360, 740), (1280, 900)
A4 = (718, 1047)
"""A sheet within margins of 1 cm, at 96 dots an inch."""


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser; skips the test where there is none, unless the checks as a whole ask for one."""
    if CHROMIUM is None:
        if os.environ.get("PLANNER_NEEDS_BROWSER"):
            pytest.fail("no Chromium is installed (Debian: apt-get install chromium)")
        pytest.skip("NO CHROMIUM: the page was not looked at (Debian: apt-get install chromium)")
    with warnings.catch_warnings(), sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        try:
            yield browser
        finally:
            browser.close()


def opened(browser: Browser, page: Path, size: tuple[int, int]) -> tuple[Page, list[str], list[str]]:
    """A page with every chart drawn; what it asked the network for; what it complained of."""
    tab = browser.new_page(viewport={"width": size[0], "height": size[1]})
    asked, said = list[str](), list[str]()
    tab.on("request", lambda request: asked.append(request.url))
    tab.on("console", lambda message: said.append(message.text))
    tab.on("pageerror", lambda error: said.append(str(error)))
    tab.goto(page.as_uri())
    tab.evaluate("drawAll()")
    return tab, [url for url in asked if not url.startswith(("file:", "data:"))], said
