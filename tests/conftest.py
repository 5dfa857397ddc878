"""What every test shares: the project's folder, hypothesis set so that tests fail alike everywhere, and order."""

from __future__ import annotations

import gc
import signal
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "planner",
    deadline=None,  # two cores shared with others: time says nothing about right and wrong
    derandomize=True,
    max_examples=50,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("planner")

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # started in the background: no test could press Ctrl-C
    signal.signal(signal.SIGINT, signal.default_int_handler)

NUMBERS = count()
ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def root() -> Path:
    """Folder that holds pyproject.toml, planner/, plugins/, scenarios/."""
    return ROOT


@pytest.fixture(scope="session")
def example(root: Path) -> Path:
    """The example scenario."""
    return root / "scenarios" / "example.yaml"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What shares the known answers comes first: one process makes them, others take over from the end."""
    items.sort(key=lambda item: "answers" not in getattr(item, "fixturenames", ()))


def pytest_collection_finish() -> None:
    """What was imported and found stays to the end: it is not looked through for rubbish again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


@pytest.fixture(autouse=True)
def _runs_of_its_own(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test finds the runs of another: commands keep theirs in a new file, also those in other processes."""
    place = tmp_path_factory.getbasetemp() / "stores" / f"{next(NUMBERS)}.sqlite"
    monkeypatch.setenv("PLANNER_STORE", str(place))
