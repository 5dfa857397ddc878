"""What holds for models that draw a part of the world, once a replicate: weather, rates, supply, demand.

In: a provider. Out: see `offered`. Must not know: what the workshop does with the part.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, ClassVar, Final

from pydantic import ValidationError

from planner.testing.conformance.claims import must
from planner.testing.conformance.horizons import edges, year
from planner.testing.conformance.leaves import Print, differing, print_of
from planner.testing.conformance.offered import Conformance
from planner.testing.conformance.pairing import alike
from planner.testing.conformance.plausible import DEMAND, RATES, SUPPLY, WEATHER, Ranges, outside
from planner.testing.conformance.streams import watched
from planner.testing.conformance.written import nudged
from planner.world.draw import Draw
from planner.world.inspection import inspect
from planner.world.parts import Crowd, Horizon, Rates, Supply, Weather

SEED: Final = 20260105
WORLDS: Final = 6
"""Worlds in which pairing is looked at."""
OTHERS: Final = 4
"""Worlds of which not all may be alike where there is chance."""


def draw_of(world: int) -> Draw:
    """Chance of one world, as a scenario's model gets it."""
    return Draw(SEED, world).within("conformance/model")


class DrawingConformance(Conformance):
    """What every model that draws keeps to.

    Attributes
    ----------
    plausible : Mapping
        Lowest and highest value by column; a class of yours may put its own over them.
    least_alike : float
        Rank correlation that is left of every column after a small change of settings (assumed).
    most_draw_s : float
        Seconds that drawing a year may take at most (assumed; a built-in model takes about a thousandth).
    """

    part: ClassVar[type]
    plausible: Ranges
    least_alike: float = 0.9
    most_draw_s: float = 5.0

    def drawn(self, model: Any, world: int = 0, horizon: Horizon | None = None) -> Any:
        """One part."""
        return model.draw(draw_of(world), horizon or year())

    def answers(self, model: Any) -> Print:
        """What is drawn for one world, to the bit."""
        return print_of(self.drawn(model))

    def call(self, model: Any) -> tuple[str, float, Callable[[], Any]]:
        """Draws a year."""
        return "drawing a year", self.most_draw_s, lambda: self.drawn(model)

    def test_the_same_seed_gives_the_same_bits(self) -> None:
        """Asked again, after other worlds, or built anew: the same."""
        model = self.model()
        first, again = self.answers(model), self.answers(model)
        self.drawn(model, 7)
        later = self.answers(model)
        for words, other in (
            ("when it is asked again", again),
            ("after another world", later),
            ("when it is built anew", self.answers(self.model())),
        ):
            wrong = differing(first, other)
            must(
                not wrong,
                f"the same seed and world give something else {words}: {', '.join(wrong[:3])}; keep nothing from "
                "draw to draw, and take no chance but that of the draw handed in",
            )

    def test_other_worlds_have_other_values(self) -> None:
        """Where streams are asked for, they are made use of."""
        model = self.model()
        with watched(draw_of(0), self.package()) as taken:
            self.drawn(model)
        worlds = [print_of(self.drawn(model, world)) for world in range(OTHERS)]
        differs = any(differing(worlds[0], world) for world in worlds[1:])
        must(
            differs or not taken.streams,
            f"the stream {(taken.streams or [''])[0]} is asked for, but all worlds are alike",
        )

    def test_all_chance_comes_from_the_streams_handed_in(self) -> None:
        """No streams of others, no generator of its own, nothing reckoned from seed or number of the world."""
        model = self.model()
        stilled = []
        for world in (0, 1):
            with watched(draw_of(world), self.package(), still=True) as taken:
                stilled.append(print_of(self.drawn(model, world)))
            must(not taken.elsewhere, f"it takes chance from {(taken.elsewhere or [''])[0]}")
        wrong = differing(*stilled)
        must(
            not wrong,
            f"{', '.join(wrong[:3])} differs between two worlds with the same streams; there is chance from elsewhere",
        )

    def test_models_beside_it_draw_what_they_drew_before(self) -> None:
        """Their streams and their parts do not move because this model is there."""
        from planner.plugin import builtin

        beside = {
            f"{one.kind} {one.name}": one.build(one.settings.model_validate(one.example))
            for one in builtin.planner_models()
            if one.kind != "pricing"
        }
        horizon, chance = year(), Draw(SEED, 0)

        def others() -> dict[str, Print]:
            found = {
                name: print_of(model.draw(chance.within(name), horizon)) for name, model in beside.items()
            }
            streams = {"uniform": chance.uniform("beside", 8), "normal": chance.normal("beside", 8)}
            return found | {"streams": print_of(streams)}

        before = others()
        self.drawn(self.model(), 0, horizon)
        after = others()
        moved = [name for name, held in before.items() if held != after[name]]
        must(not moved, f"once this model has drawn, others draw something else: {', '.join(moved)}")

    def test_a_small_change_of_settings_stays_paired(self) -> None:
        """Values are inverses of the streams' numbers, so their order stays when a distribution changes a little."""
        model = self.model()
        before = [self.drawn(model, world) for world in range(WORLDS)]
        with watched(draw_of(0), self.package()) as taken:
            self.drawn(model)
        tried = 0
        for what, settings in self._small_changes():
            changed = self.model(settings)
            after = [self.drawn(changed, world) for world in range(WORLDS)]
            tried += any(
                differing(print_of(one), print_of(other)) for one, other in zip(before, after, strict=True)
            )
            for column, likeness in alike(before, after).items():
                must(
                    likeness >= self.least_alike,
                    f"with a small change of {what}, {column} is ranked alike by only {likeness:.2f} (1: same order; "
                    f"{self.least_alike} is needed); turn uniforms into values by the inverse of a distribution, "
                    "and take the same number of them whatever the settings are",
                )
        must(
            bool(tried) or not taken.streams,
            "no number in the settings changes anything that is drawn; give the class a `changed` that does",
        )

    def _small_changes(self) -> Iterator[tuple[str, Mapping[str, Any]]]:
        if (changes := self.changes()) is not None:
            yield "the settings that you name as changed", changes
            return
        for path, settings in nudged(self.written()):
            try:
                self.read(settings)
            except ValidationError:
                continue  # such as a count of 3.15
            yield path, settings

    def test_what_it_draws_has_the_right_shape_and_only_finite_numbers(self) -> None:
        """As a run looks at it: columns, shapes, kinds of number, nothing below 0 that cannot be."""
        self._inspected(self.drawn(self.model()), year(), "an ordinary year")

    def test_what_it_draws_is_plausible(self) -> None:
        """No number that looks as if it were in another unit."""
        model = self.model()
        for world in range(OTHERS):
            found = outside(self.drawn(model, world), self.plausible)
            must(not found, f"world {world}: {'; '.join(found[:3])}")

    def test_short_long_and_odd_horizons_are_drawn_whole(self) -> None:
        """One day, a leap year, three years, midwinter, the south, no sun."""
        model = self.model()
        for words, horizon in edges().items():
            try:
                part = self.drawn(model, 0, horizon)
            except Exception as error:
                raise AssertionError(f"{words} ({horizon.days} days) cannot be drawn: {error!r}") from error
            self._inspected(part, horizon, words)

    def test_what_is_handed_in_and_handed_out_is_left_alone(self) -> None:
        """The horizon is not written to, nor is a part once it was handed over."""
        model, horizon = self.model(), year()
        for name in (
            "dates",
            "day_of_year",
            "month",
            "weekday",
            "summer_time_h",
            "standard_hour",
            "sun_ahead_h",
        ):
            getattr(horizon, name)
        before = print_of(horizon)
        part = self.drawn(model, 0, horizon)
        wrong = [name for name, held in before.items() if print_of(horizon).get(name) != held]
        must(not wrong, f"it changed the horizon that it was handed: {', '.join(wrong)}")
        held = print_of(part)
        self.drawn(model, 1, horizon)
        wrong = differing(held, print_of(part))
        must(not wrong, f"drawing another world changed what was handed over before: {', '.join(wrong[:3])}")

    def _inspected(self, part: Any, horizon: Horizon, words: str) -> None:
        try:
            inspect(part, self.part, horizon)
        except ValueError as error:
            raise AssertionError(f"{words} ({horizon.days} days): {error}") from error


class WeatherConformance(DrawingConformance):
    """For a weather model."""

    kind, part, plausible = "weather", Weather, WEATHER


class RatesConformance(DrawingConformance):
    """For a model of what the yard pays."""

    kind, part, plausible = "rates", Rates, RATES


class SupplyConformance(DrawingConformance):
    """For a model of shops and their buckets."""

    kind, part, plausible = "supply", Supply, SUPPLY

    def test_buckets_are_full_within_the_horizon_and_shops_open_within_a_day(self) -> None:
        """Nothing comes after the end; hours of opening are hours of a day, in order."""
        horizon = year()
        for shop in self.drawn(self.model(), 0, horizon).shops:
            late_h = shop.ready_h.max(initial=0.0)
            must(
                late_h <= horizon.hours,
                f"{shop.name}: a bucket is full after {late_h:g} h, but the horizon ends after {horizon.hours} h",
            )
            windows = [window for day in shop.open_hours for window in day]
            wrong = [window for window in windows if not 0.0 <= window[0] < window[1] <= 48.0]
            must(
                not wrong,
                f"{shop.name}: open from-to {wrong[:1]}; hours run from 0 to 24 and end after they begin",
            )


class DemandConformance(DrawingConformance):
    """For a model of a class of buyers."""

    kind, part, plausible = "demand", Crowd, DEMAND

    def test_needs_take_time_to_come_back(self) -> None:
        """No two needs of a person fall due at the same moment, and nobody wants nothing."""
        crowd = self.drawn(self.model())
        must(
            bool((crowd.gap_h[:, 1:] > 0.0).all()),
            "a need falls due at the very moment at which the one before it ended; gap_h must be above 0",
        )
        must(bool((crowd.size_kg > 0.0).all()), "somebody wants 0 kg; size_kg must be above 0")
