from __future__ import annotations

from pathlib import Path

import pytest

from tests.plugin.elsewhere import Elsewhere


@pytest.fixture(scope="session")
def elsewhere(tmp_path_factory: pytest.TempPathFactory, root: Path) -> Elsewhere:
    """A separate environment with the planner's wheel installed."""
    made = Elsewhere(tmp_path_factory.mktemp("elsewhere") / "env")
    made.install(root)
    return made
