"""Sorting by hand: what is taken out, what is missed, what it is for, how fast."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import pytest

from planner.trade.pot import Contents, Melt
from planner.workshop.floor import Floor
from planner.workshop.melt import _made
from planner.workshop.premises import StartUp, premises
from planner.workshop.result import Run
from tests.small import Asking, business, shop, tables, world
from tests.workshop.books import played

MIX = {
    "clip_on_share": 0.5,
    "clip_share": 0.1,
    "stick_on_share": 0.15,
    "zinc_share": 0.15,
    "steel_share": 0.17,
    "rubbish_share": 0.03,
}
UNSOLD = {"yard": {"least": "99999 kg"}}
"""Nothing is driven to the yard, so that everything is still there at the end."""


def sorted_lots(
    *masses_kg: float, missed: float = 0.0, mix: dict[str, float] | None = None, **changes: object
) -> Run:
    """Lots that are there at the start, sorted and melted; nobody fetches or buys."""
    lots = [{"mass": f"{kg} kg", "cost": "10 EUR", **(MIX if mix is None else mix)} for kg in masses_kg]
    sorting = {"on": True, "missed_share": missed, "rate": "40 kg/h"} | changes.pop("sorting", {})  # type: ignore[operator]
    base = {"stock": {"lots": lots}, "fetching": {"on": False}} | UNSOLD
    of = business(**(base | changes | {"sorting": sorting}))
    return played(of, world(of, shops=(), crowds=()))


def poured(run: Run) -> dict[str, float]:
    kg: dict[str, float] = defaultdict(float)
    for melt in run.melts:
        kg[melt.alloy] += melt.poured_kg
    return kg


def test_everything_in_a_sorted_lot_is_found_again_part_by_part() -> None:
    run = sorted_lots(100.0, missed=0.2, melting={"least_lead": "0 kg"})
    balance = run.balance
    assert balance is not None
    assert balance.lots_kg == balance.in_pot_kg == 0.0
    assert balance.zinc_kg == pytest.approx(15.0 * 0.8)
    assert balance.steel_kg == pytest.approx(17.0 * 0.8)
    assert balance.rubbish_kg == pytest.approx(3.0)
    dissolved = 15.0 * 0.2 - sum(melt.zinc_kg for melt in run.melts)
    assert balance.clips_kg == pytest.approx(5.0 + 17.0 * 0.2 + 15.0 * 0.2 - dissolved)
    assert balance.ingots_kg + balance.dross_kg == pytest.approx(45.0 + 15.0 + dissolved)


def test_nothing_unsorted_is_lost_either() -> None:
    run = sorted_lots(100.0, sorting={"on": False}, melting={"least_lead": "0 kg"})
    balance = run.balance
    assert balance is not None
    dissolved = 15.0 - sum(melt.zinc_kg for melt in run.melts)
    assert balance.clips_kg == pytest.approx(5.0 + 17.0 + 15.0 - dissolved)
    assert balance.zinc_kg == balance.steel_kg == 0.0
    assert balance.ingots_kg + balance.dross_kg == pytest.approx(60.0 + dissolved)


def test_sorting_takes_the_hours_of_its_rate() -> None:
    slow, fast = sorted_lots(100.0), sorted_lots(100.0, sorting={"rate": "80 kg/h"})
    assert slow.measures["sort_hours_h"] == pytest.approx(100.0 / 40.0)
    assert fast.measures["sort_hours_h"] == pytest.approx(100.0 / 80.0)


def test_stick_on_weights_apart_give_soft_lead() -> None:
    all_of_it = {"least_lead": "0 kg"}
    apart = sorted_lots(200.0, melting=all_of_it)
    together = sorted_lots(200.0, sorting={"apart": False}, melting=all_of_it)
    assert poured(apart)["soft"] == pytest.approx(30.0, rel=0.03)
    assert poured(apart)["hard"] == pytest.approx(90.0, rel=0.03)
    assert set(poured(together)) == {"mixed"}
    assert together.measures["ingots_kg"] == pytest.approx(120.0, rel=0.03)


def test_alloys_kept_apart_stay_apart_with_a_heel_too() -> None:
    """The pot is poured empty before another alloy goes in; a heel stays only for more of the same."""
    run = sorted_lots(*[60.0] * 8, melting={"heel": "10 kg"}, sorting={"ahead": "600 kg"})
    assert {melt.alloy for melt in run.melts} == {"hard", "soft"}
    left = [melt.in_pot_kg for melt in run.melts]
    for now, then, kg in zip(run.melts, run.melts[1:], left, strict=False):
        assert kg == pytest.approx(0.0 if now.alloy != then.alloy else kg)
    much = sorted_lots(*[60.0] * 8, melting={"heel": "10 kg", "days": ["sat"]}, sorting={"ahead": "900 kg"})
    assert max(melt.in_pot_kg for melt in much.melts) == pytest.approx(10.0)


def test_a_little_of_one_alloy_does_not_keep_the_other_from_being_melted() -> None:
    """What lies in the pot goes on first; where that is too little for a melt, the next pile is taken."""
    little_soft = MIX | {"clip_on_share": 0.62, "stick_on_share": 0.03}
    run = sorted_lots(*[60.0] * 3, mix=little_soft, melting={"heel": "3 kg"})
    assert poured(run)["hard"] > 80.0


def test_what_froze_in_the_pot_spoils_another_alloy_until_it_is_thinned_out() -> None:
    """10 kg of soft lead are in the pot; hard weights give 20 kg on top of it and leave 10 kg, again and again."""
    floor = Floor(business(), world(business()), Asking(), StartUp(), premises(business()), tables())
    floor.contents, floor.pot_mix = Contents(lead_kg=10.0), {"soft": 1.0}

    def poured_on_top(kg: float, left_kg: float) -> str:
        made = _made(floor, "hard", Melt(0.0, 1.0, poured_kg=kg, contents=Contents(lead_kg=left_kg)))
        floor.contents = Contents(lead_kg=left_kg)
        return made

    assert [poured_on_top(20.0, 10.0) for _ in range(3)] == ["mixed", "hard", "hard"]
    assert floor.pot_mix["soft"] < 0.05


def test_a_badly_sorted_lot_keeps_more_of_its_zinc_and_steel() -> None:
    marks = np.array([0.1, 0.9])
    of = business(
        sorting={"on": True, "missed_share": {"uniform": {"low": 0, "high": 0.5}}},
        cash={"opening": "500 EUR"},
    )
    run = played(of, world(of, shops=(shop(buckets=2, missed_u=marks),), crowds=()))
    by_lot = {row.lot: row for row in run.sorts}
    zinc = 50.0 * 0.15
    assert by_lot[1].zinc_out_kg == pytest.approx(zinc * (1 - 0.05))
    assert by_lot[2].zinc_out_kg == pytest.approx(zinc * (1 - 0.45))


def test_no_more_is_sorted_than_the_pot_will_take_soon() -> None:
    run = sorted_lots(*[60.0] * 8, sorting={"ahead": "70 kg"}, melting={"days": ["sun"]})
    assert sum(row.mass_kg for row in run.sorts) <= 70.0 + 60.0
    assert len(run.melts) == 0


def test_a_long_lot_is_sorted_over_some_evenings() -> None:
    run = sorted_lots(
        200.0, sorting={"rate": "25 kg/h"}, melting={"days": ["sun"]}, owner={"hours": "18:00-19:00"}
    )
    assert len(run.sorts) > 1
    assert {row.lot for row in run.sorts} == {1}
    assert max(row.end_h - row.t_h for row in run.sorts) <= 1.0 + 1e-9


def test_nobody_sits_down_to_sort_for_a_few_minutes() -> None:
    run = sorted_lots(60.0, owner={"hours": "18:00-18:14"})
    assert run.sorts == []
    assert run.measures["lost_hours_h"] > 0


def test_a_helper_sorts_along_and_is_paid_for_it() -> None:
    helper = {"wage": "10 EUR/h", "days": ["mon"], "hands": 2.0}
    run = sorted_lots(40.0, helper=helper, owner={"hours": {"mon": "18:00-21:00"}}, melting={"days": ["sun"]})
    assert run.measures["sort_hours_h"] == pytest.approx(0.5)
    assert run.measures["wages_cost"] == pytest.approx(5.0)


def test_sorted_zinc_fetches_the_price_of_zinc_at_the_yard() -> None:
    yard = {"least": "1 kg", "every": "7 days", "open": "08:00-18:00"}
    alone, along = sorted_lots(100.0, yard=yard), sorted_lots(100.0, yard=yard, sorting={"on": False})
    zinc = sum(entry.amount for entry in alone.ledger if entry.kind == "yard: zinc")
    assert zinc == pytest.approx(15.0 * 0.8)
    assert alone.measures["yard_receipts"] > 2.0 * along.measures["yard_receipts"]


def test_sorting_saves_much_on_a_small_burner_and_little_on_a_big_one() -> None:
    """Hours of heating saved on 200 kg of weights, and their share of all hours at the pot."""
    saved_h, saved_share = [], []
    for power in ("3 kW", "16 kW"):
        pot = {"burner": {"power": power}, "days": ["sat"]}
        unsorted, out = (
            sorted_lots(200.0, missed=0.05, sorting={"on": on, "apart": False}, melting=pot)
            for on in (False, True)
        )
        saved_h.append(sum(m.heating_h for m in unsorted.melts) - sum(m.heating_h for m in out.melts))
        saved_share.append(1.0 - out.measures["melt_hours_h"] / unsorted.measures["melt_hours_h"])
    assert saved_h[0] > 5.0 * saved_h[1] > 0.0
    assert saved_share[0] > 0.35


def test_sorting_the_zinc_out_avoids_a_zinced_pot() -> None:
    strong = {"burner": {"power": "10 kW"}, "zinc": {"overheats_share": 1.0}}
    unsorted = sorted_lots(100.0, sorting={"on": False}, melting=strong)
    sorted_out = sorted_lots(100.0, melting=strong)
    assert unsorted.measures["zinced_melts"] > 0
    assert sorted_out.measures["zinced_melts"] == 0
