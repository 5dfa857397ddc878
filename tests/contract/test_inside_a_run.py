"""What a run is made of once its player is ready: plain Python and numpy, nothing that reads, checks or reports."""

from __future__ import annotations

import sys
from pathlib import Path
from types import FrameType
from typing import Any, Final

from planner.engine import Batch
from planner.engine.player import Player, Setting
from planner.study import load

KEPT_OUT: Final = ("logging", "pandas", "pluggy", "pydantic", "pydantic_core")


def test_no_pandas_pydantic_pluggy_or_logging_takes_part_in_a_run(example: Path) -> None:
    player, batch = Player(Setting(load(example), 1)), Batch("expected", (1,), ("as today", "post"))
    player(Batch("expected", (0,), batch.options))
    seen: set[str] = set()

    def called(frame: FrameType, event: str, of: Any) -> None:
        if event == "call":
            seen.update(Path(frame.f_code.co_filename).parts)
        elif event == "c_call":
            seen.update(str(getattr(of, "__module__", "")).split("."))

    sys.setprofile(called)
    try:
        outcomes = player(batch)
    finally:
        sys.setprofile(None)
    assert [one.failure for one in outcomes] == [None, None]
    assert {"simpy", "numpy"} <= seen
    assert seen.isdisjoint(KEPT_OUT)
