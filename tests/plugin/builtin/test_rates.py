"""Rate models core.fixed, core.mean_reverting and core.replay."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from planner.plugin.builtin.rates import FIXED, MEAN_REVERTING, REPLAY
from planner.plugin.protocol import Provider
from planner.world.draw import Draw
from planner.world.parts import GOODS, Horizon, Rates

YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
LONG = Horizon(date(2026, 1, 1), 20_000, 45.0)


def rates(provider: Provider, replicate: int = 0, horizon: Horizon = YEAR, **settings: Any) -> Rates:
    drawn: Rates = provider.build(provider.settings.model_validate(settings)).draw(
        Draw(9, replicate), horizon
    )
    return drawn


def lead(**changes: Any) -> dict[str, Any]:
    return {"lead": {"mean": "1.4 EUR/kg", "half_life": "20 days", "volatility_share": 0.3, **changes}}


def test_fixed_prices_stay() -> None:
    drawn = rates(FIXED, lead="1.5 EUR/kg", clips="0 EUR/kg")
    assert (drawn.per_kg["lead"] == 1.5).all()
    assert (drawn.per_kg["clips"] == 0.0).all()


def test_prices_wander_around_their_mean_with_the_variance_of_the_process() -> None:
    log_price = np.log(rates(MEAN_REVERTING, horizon=LONG, **lead()).per_kg["lead"] / 1.4)
    pull = math.log(2) / 20
    variance = 0.3**2 / 365 / (2 * pull)
    keeps = math.exp(-pull)
    independent = LONG.days * (1 - keeps) / (1 + keeps)
    assert log_price.std() == pytest.approx(math.sqrt(variance), rel=4 / math.sqrt(2 * independent))
    assert log_price.mean() == pytest.approx(-variance / 2, abs=4 * math.sqrt(variance / independent))
    price = np.exp(log_price)
    assert price.mean() == pytest.approx(1.0, abs=4 * price.std() / math.sqrt(independent))
    assert np.corrcoef(log_price[:-1], log_price[1:])[0, 1] == pytest.approx(
        keeps, abs=4 * math.sqrt(1 - keeps**2) / math.sqrt(LONG.days)
    )


def test_half_of_a_departure_has_gone_after_the_half_life() -> None:
    calm = rates(MEAN_REVERTING, **lead(start="2.8 EUR/kg", volatility_share=0)).per_kg["lead"]
    assert calm[0] == pytest.approx(2.8)
    assert math.log(calm[20] / 1.4) == pytest.approx(math.log(2) / 2)


def test_a_price_starts_where_it_is_told_in_every_world() -> None:
    assert {
        round(rates(MEAN_REVERTING, r, **lead(start="1.1 EUR/kg")).per_kg["lead"][0], 12) for r in range(5)
    } == {1.1}


def test_goods_move_together_as_much_as_set() -> None:
    def correlation(together: float) -> float:
        drawn = rates(MEAN_REVERTING, horizon=LONG, together_share=together).per_kg
        changes = [np.diff(np.log(drawn[good])) for good in ("lead", "zinc")]
        return float(np.corrcoef(*changes)[0, 1])

    assert correlation(0.7) == pytest.approx(0.7, abs=4 / math.sqrt(LONG.days))
    assert correlation(0.0) == pytest.approx(0.0, abs=4 / math.sqrt(LONG.days))
    assert correlation(1.0) > 0.9999


def test_another_mean_scales_the_same_path() -> None:
    one, other = (rates(MEAN_REVERTING, **lead(mean=f"{mean} EUR/kg")).per_kg["lead"] for mean in (1.0, 1.1))
    assert np.allclose(other / one, 1.1)


def test_one_goods_settings_leave_the_others_alone() -> None:
    one, other = rates(MEAN_REVERTING), rates(MEAN_REVERTING, **lead())
    assert all(np.array_equal(one.per_kg[good], other.per_kg[good]) for good in GOODS if good != "lead")


def test_a_good_that_is_not_taken_costs_nothing_all_year() -> None:
    drawn = rates(MEAN_REVERTING, dross={"mean": "0 EUR/kg"})
    assert (drawn.per_kg["dross"] == 0.0).all()


def test_a_trend_moves_the_mean() -> None:
    calm = rates(MEAN_REVERTING, **lead(volatility_share=0, trend_a_year_share=-0.2)).per_kg["lead"]
    assert calm[-1] == pytest.approx(1.4 * 0.8 ** (364 / 365))


def test_a_longer_horizon_only_adds_days() -> None:
    short, long = rates(MEAN_REVERTING), rates(MEAN_REVERTING, horizon=Horizon(YEAR.start, 800, 45.0))
    assert all(np.array_equal(short.per_kg[good], long.per_kg[good][:365]) for good in GOODS)


ROWS = [
    {"date": "2025-06-01", "lead": "1.2 EUR/kg"},
    {"date": "2026-03-02", "lead": "1.3 EUR/kg", "zinc": "0.9 EUR/kg"},
    {"date": "2026-03-05", "lead": "0 EUR/kg"},
]


def test_noted_prices_hold_until_the_next() -> None:
    drawn = rates(REPLAY, rows=ROWS).per_kg
    assert (drawn["lead"][:60] == 1.2).all()
    assert drawn["lead"][60:64].tolist() == [1.3, 1.3, 1.3, 0.0]
    assert (drawn["zinc"] == 0.9).all()
    assert (drawn["steel"] == 0.0).all()


def test_rows_out_of_order_are_refused() -> None:
    with pytest.raises(ValidationError, match="the row of 2025-06-01 comes after that of 2026-03-05"):
        rates(REPLAY, rows=[ROWS[2], ROWS[0]])
