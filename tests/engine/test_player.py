"""What a player draws of a world it draws once, whichever batches ask for it one after the other."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from planner.engine import Batch, player
from planner.engine.player import Player, Setting
from planner.scenario import Input
from planner.study import load


def test_batches_of_one_world_share_what_is_the_same_in_them_and_bring_the_same(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    worlds: list[Any] = []
    true_build = player.build

    def watched(*those: Any) -> Any:
        worlds.append(true_build(*those))
        return worlds[-1]

    monkeypatch.setattr(player, "build", watched)
    setting = Setting(load(root / "tests" / "study" / "garden.yaml"), 4)
    more = (Input("demand.casters.settings.sale", "1 min", "plus"),)
    batches = [Batch("expected", (world,), ("as today",), inputs=at) for world in (0, 1) for at in ((), more)]
    one = Player(setting)
    together = [one(batch) for batch in batches]
    assert worlds[0].weather is worlds[1].weather
    assert worlds[0].supplies[0] is worlds[1].supplies[0]
    assert worlds[0].crowds[0] is not worlds[1].crowds[0]
    assert worlds[1].weather is not worlds[2].weather
    assert together == [Player(setting)(batch) for batch in batches]


def test_what_other_values_need_is_made_again_once_it_was_let_go(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[float] = []
    true_models = player.models_for
    monkeypatch.setattr(player, "PREPARED_KEPT", 1)
    monkeypatch.setattr(player, "SCENARIOS_KEPT", 1)

    def watched(registry: Any, business: Any, *others: Any) -> Any:
        made.append(business.owner.hour_price_per_h)
        return true_models(registry, business, *others)

    monkeypatch.setattr(player, "models_for", watched)
    setting = Setting(load(root / "tests" / "study" / "garden.yaml"), 4)
    dear, cheap = (Input("owner.hour_price", f"{price} EUR/h") for price in (12, 1))
    points: list[tuple[Input, ...]] = [(dear,), (), (cheap,), (), (dear,)]
    one = Player(setting)
    found = [one(Batch("expected", (0,), ("as today",), inputs=at)) for at in points]
    assert [outcome.failure for outcomes in found for outcome in outcomes] == [None] * 5
    assert found[0] == found[-1]
    assert found[1] == found[3] != found[0]
    assert [made[0], *made[2:]] == [12.0, 1.0, 12.0]
