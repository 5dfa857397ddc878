"""What holds for pricing models: a price for every question, the same for the same view, without chance.

In: a provider. Out: see `offered`. Must not know: what buyers would pay.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from functools import partial
from typing import Any, Final, NamedTuple

from planner.testing.conformance.claims import must
from planner.testing.conformance.horizons import YEAR_DAYS
from planner.testing.conformance.leaves import Print
from planner.testing.conformance.offered import Conformance
from planner.testing.conformance.plausible import PRICE_PER_KG, TIN_PER_KG
from planner.testing.conformance.streams import watched
from planner.world.draw import Draw
from planner.world.parts import ALLOYS, CHANNELS, Alloy, Channel, PriceView

MASSES_KG: Final = (0.5, 8.0, 25.0, 140.0)
_START: Final = date(2026, 1, 1)
_ZINCED_SHARE: Final = 0.3
"""What the yard pays for lead spoiled by zinc, as a share of clean lead (assumed)."""
_QUOTES: Final = 200
"""Quotes that are timed together."""


class Asked(NamedTuple):
    """One question: what is known, and what is wanted."""

    words: str
    view: PriceView
    alloy: Alloy
    mass_kg: float
    channel: Channel


def view(
    day: int = 100, stock_kg: float = 40.0, yard_per_kg: float = 1.34, oldest_days: float = 9.0
) -> PriceView:
    """What the owner knows on a day of the first year, of which 365 are played: some of every alloy in stock."""
    return PriceView(
        t_h=24.0 * day,
        stock_kg=dict.fromkeys(ALLOYS, stock_kg),
        yard_per_kg=yard_per_kg,
        sold_30_days_kg=35.0,
        oldest_days=oldest_days,
        today=_START + timedelta(days=day),
        days_left=float(YEAR_DAYS - day),
        yard_zinced_per_kg=_ZINCED_SHARE * yard_per_kg,
    )


def views() -> dict[str, PriceView]:
    """Ordinary days, and those at which a formula breaks."""
    three_years: dict[str, Any] = {
        "t_h": 3.0 * 24.0 * YEAR_DAYS,
        "today": _START + timedelta(days=3 * YEAR_DAYS),
        "days_left": 0.0,
    }
    return {
        "an ordinary day": view(),
        "nothing in stock": view(stock_kg=0.0, oldest_days=0.0),
        "no alloy was ever cast": view()._replace(stock_kg={}, oldest_days=0.0, sold_30_days_kg=0.0),
        "a yard that takes no lead": view(yard_per_kg=0.0),
        "lead dearer than ever": view(yard_per_kg=4.0),
        "the first hour": view(day=0, oldest_days=0.0),
        "the last hour of three years": view()._replace(**three_years),
        "ingots of three years": view(stock_kg=2000.0, oldest_days=1095.0)._replace(**three_years),
        "a gram in stock": view(stock_kg=0.001),
    }


def questions() -> Iterator[Asked]:
    """Every alloy in every way of selling, little and much, on every such day."""
    for words, known in views().items():
        for alloy in ALLOYS:
            for channel in CHANNELS:
                for mass_kg in MASSES_KG:
                    yield Asked(words, known, alloy, mass_kg, channel)


class PricingConformance(Conformance):
    """For a pricing model.

    Attributes
    ----------
    plausible, plausible_tin : tuple of float
        Lowest and highest price [currency/kg] of lead and of tin (assumed).
    most_quote_s : float
        Seconds that a quote may take at most (assumed; a run asks some thousand times a year).
    """

    kind = "pricing"
    plausible: tuple[float, float] = PRICE_PER_KG
    plausible_tin: tuple[float, float] = TIN_PER_KG
    most_quote_s: float = 0.01

    def answers(self, model: Any) -> Print:
        """Every price of every question, to the bit."""
        prices: Print = {str(number): repr(_quoted(model, one)) for number, one in enumerate(questions())}
        return prices | {f"tin, {words}": repr(model.tin(known)) for words, known in views().items()}

    def call(self, model: Any) -> tuple[str, float, Callable[[], Any]]:
        """Quotes on an ordinary day."""
        known = view()

        def quote() -> None:
            for _ in range(_QUOTES):
                model.quote(known, "hard", 10.0, "private")

        return f"quoting {_QUOTES} times", self.most_quote_s * _QUOTES, quote

    def test_the_same_view_gets_the_same_price(self) -> None:
        """Asked again, in another order, or built anew: the same. A price has no memory."""
        model = self.model()
        every = list(questions())
        first = [_quoted(model, one) for one in every]
        backwards = [_quoted(model, one) for one in reversed(every)][::-1]
        anew = self.model()
        again = [_quoted(anew, one) for one in every]
        for words, other in (("in another order", backwards), ("of a model built anew", again)):
            wrong = [one for one, x, y in zip(every, first, other, strict=True) if repr(x) != repr(y)]
            must(
                not wrong,
                f"asked {words}, the price of {_said(wrong)} is another; keep nothing from quote to quote",
            )

    def test_there_is_no_chance_in_a_price(self) -> None:
        """No stream and no generator."""
        model, nothing = self.model(), Draw(0, 0).within("nothing is handed in")
        with watched(nothing, self.package()) as taken:
            self.answers(model)
        found = [*taken.streams, *taken.elsewhere]
        must(not found, f"it takes chance from {(found or [''])[0]}; the same view must get the same price")

    def test_every_question_gets_a_number_from_zero_up(self) -> None:
        """Whatever is in stock, whatever the yard pays, however much is wanted."""
        model = self.model()
        for one in questions():
            _must_be_price(partial(_quoted, model, one), _said([one]))
        for words, known in views().items():
            _must_be_price(partial(model.tin, known), f"tin, {words}")

    def test_prices_are_plausible(self) -> None:
        """No price that looks as if it were in another unit, and something is asked on an ordinary day."""
        model = self.model()
        low, high = self.plausible
        for one in questions():
            per_kg = _quoted(model, one)
            must(
                low <= per_kg <= high,
                f"{_said([one])}: {per_kg} a kilogram is not between {low:g} and {high:g}",
            )
        low, high = self.plausible_tin
        tin_per_kg = model.tin(view())
        must(low <= tin_per_kg <= high, f"tin: {tin_per_kg} a kilogram is not between {low:g} and {high:g}")
        must(
            model.quote(view(), "hard", 10.0, "private") > 0.0,
            "10 kg of hard lead are given away on an ordinary day",
        )

    def test_the_view_is_left_as_it_was(self) -> None:
        """What the owner knows is looked at, never written to."""
        model = self.model()
        for words, known in views().items():
            before = dict(known.stock_kg)
            for alloy in ALLOYS:
                model.quote(known, alloy, 10.0, "private")
            model.tin(known)
            must(dict(known.stock_kg) == before, f"{words}: it changed the stock that it was shown")


def _quoted(model: Any, one: Asked) -> Any:
    return model.quote(one.view, one.alloy, one.mass_kg, one.channel)


def _said(those: list[Asked]) -> str:
    """The first question in words; nothing where there is none."""
    return "".join(f"{one.mass_kg:g} kg of {one.alloy}, {one.channel}, {one.words}" for one in those[:1])


def _must_be_price(ask: Callable[[], Any], words: str) -> None:
    try:
        per_kg = ask()
    except Exception as error:
        raise AssertionError(f"{words}: no price, but {error!r}") from error
    sound = isinstance(per_kg, (int, float)) and math.isfinite(per_kg) and per_kg >= 0.0
    must(sound, f"{words}: it returned {per_kg!r}; a price is a number from 0 up")
