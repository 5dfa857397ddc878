"""Pricing models core.fixed and core.breaks."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from planner.plugin.builtin.pricing import BREAKS, FIXED
from planner.plugin.protocol import PricingModel
from planner.world.parts import ALLOYS, CHANNELS, Alloy, Channel, PriceView

STOCK = {"hard": 50.0, "soft": 50.0, "mixed": 50.0, "zinced": 0.0}
STEPS = [{"from": "20 kg", "less_share": 0.05}, {"from": "50 kg", "less_share": 0.1}]


def view(
    stock_kg: dict[Any, float] | None = None, yard_per_kg: float = 1.3, oldest_days: float = 5.0
) -> PriceView:
    return PriceView(0.0, STOCK if stock_kg is None else stock_kg, yard_per_kg, 0.0, oldest_days)


def fixed(**settings: Any) -> PricingModel:
    model: PricingModel = FIXED.build(FIXED.settings.model_validate(settings))
    return model


def breaks(**settings: Any) -> PricingModel:
    model: PricingModel = BREAKS.build(BREAKS.settings.model_validate({"breaks": STEPS, **settings}))
    return model


@pytest.mark.parametrize(
    ("alloy", "channel", "per_kg"),
    [
        ("hard", "private", 4.0),
        ("soft", "private", 5.0),
        ("mixed", "private", 4.0),
        ("zinced", "private", 2.4),
        ("hard", "bulk", 2.0),
        ("soft", "bulk", 2.5),
        ("hard", "post", 6.0),
        ("soft", "post", 6.0),
        ("zinced", "post", 3.6),
    ],
)
def test_a_price_for_each_alloy_and_way_of_selling(alloy: Alloy, channel: Channel, per_kg: float) -> None:
    model = fixed(
        private={"hard": "4 EUR/kg", "soft": "5 EUR/kg"}, post={"hard": "6 EUR/kg"}, zinced_less_share=0.4
    )
    assert model.quote(view(), alloy, 10.0, channel) == pytest.approx(per_kg)


def test_spoiled_lead_is_always_offered_at_a_discount() -> None:
    with pytest.raises(ValidationError, match="greater than 0"):
        fixed(zinced_less_share=0)
    for channel in CHANNELS:
        for model in (fixed(), breaks()):
            asked = {alloy: model.quote(view(), alloy, 5.0, channel) for alloy in ALLOYS}
            assert asked["zinced"] < min(asked["hard"], asked["soft"], asked["mixed"])


def test_a_fixed_price_does_not_depend_on_the_amount() -> None:
    assert fixed().quote(view(), "hard", 1.0, "private") == fixed().quote(view(), "hard", 100.0, "private")


def test_larger_amounts_cost_less_a_kilogram() -> None:
    one, small, large = (breaks().quote(view(), "hard", kg, "private") for kg in (19.9, 20.0, 50.0))
    assert small == pytest.approx(0.95 * one)
    assert large == pytest.approx(0.9 * one)


def test_more_is_asked_while_stock_is_low() -> None:
    model = breaks(asks_more_when_low={"below": "20 kg", "more_share": 0.1})
    low = model.quote(view({"hard": 10.0}), "hard", 5.0, "private")
    assert low == pytest.approx(1.1 * model.quote(view(), "hard", 5.0, "private"))


def test_less_is_asked_for_what_has_lain_long() -> None:
    model = breaks(asks_less_when_old={"after": "90 days", "less_share": 0.2})
    old = model.quote(view(oldest_days=91.0), "hard", 5.0, "private")
    assert old == pytest.approx(0.8 * model.quote(view(oldest_days=90.0), "hard", 5.0, "private"))


def test_nothing_is_offered_below_what_the_yard_pays_unless_it_is_wished() -> None:
    cheap = {"private": {"hard": "1 EUR/kg"}}
    assert breaks(**cheap).quote(view(), "hard", 5.0, "private") == 1.3
    assert breaks(**cheap, never_below_yard=False).quote(view(), "hard", 5.0, "private") == 1.0


def test_tin_has_a_price_of_its_own() -> None:
    assert fixed(tin="30 EUR/kg").tin(view()) == 30.0
    assert breaks(tin="31 EUR/kg").tin(view()) == 31.0


@pytest.mark.parametrize("steps", [STEPS[::-1], [STEPS[0], {"from": "60 kg", "less_share": 0.01}]])
def test_breaks_that_make_no_sense_are_refused(steps: list[dict[str, Any]]) -> None:
    with pytest.raises(ValidationError, match="in order of amount"):
        breaks(breaks=steps)
