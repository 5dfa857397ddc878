"""Audits of what is not lead: skimmed goods, tin, and the lowest cash."""

from __future__ import annotations

from collections import defaultdict
from itertools import accumulate

import pytest

from planner.workshop.result import Run
from planner.world.parts import World

NEAR = 1e-6
GOODS = ("clips", "zinc", "steel", "dross")


def goods_are_sold_once(run: Run, of: World) -> None:
    """Clips, zinc, steel, dross: what came off the pot and the sorting table is sold or in stock."""
    balance = run.balance
    assert balance is not None
    made = dict.fromkeys(GOODS, 0.0)
    for melt in run.melts:
        made["clips"] += melt.clip_kg + melt.zinc_kg + melt.steel_kg
        made["dross"] += melt.dross_kg
    for row in run.sorts:
        made["zinc"] += row.zinc_out_kg
        made["steel"] += row.steel_out_kg
    sold: dict[str, float] = defaultdict(float)
    for entry in run.ledger:
        good = entry.kind.removeprefix("yard: ")
        if good in GOODS:
            day = min(int(entry.t_h / 24.0 + 1e-9), of.horizon.days - 1)
            sold[good] += entry.amount / of.rates.per_kg[good][day]
    for good in GOODS:
        left = getattr(balance, f"{good}_kg")
        assert made[good] == pytest.approx(sold[good] + left, abs=1e-5), good


def tin_is_sold_once(run: Run, of: World) -> None:
    """No more tin is sold, beside ingots or in them, than was bought in pewter."""
    bought = [entry for entry in run.ledger if entry.kind == "pewter"]
    finds = dict(zip(of.finds.price.tolist(), (of.finds.mass_kg * of.finds.tin_share).tolist(), strict=True))
    tin_kg = sum(finds[-entry.amount] for entry in bought)
    beside = sum(sale.tin_kg for sale in run.sales)
    blended = sum(melt.poured_kg * melt.tin_share for melt in run.melts)
    assert beside + blended <= tin_kg + NEAR
    assert len(bought) <= len(finds)


def lowest_cash_is_that_of_the_ledger(run: Run) -> None:
    """Cash is what there was and every movement since; its lowest is told."""
    cash = list(accumulate((entry.amount for entry in run.ledger), initial=run.opening_cash))
    assert run.measures["lowest_cash"] == pytest.approx(min(cash))
