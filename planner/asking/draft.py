"""Answers as the text of a commented scenario, complete in itself.

In: ``Answers``, and the burner's efficiency if it was reckoned from them. Out: YAML text. Must not know: files, whether
anybody is asked.

What was answered is written and marked so; what is merely usual is written as a comment and left to the model, but
where a scenario must say it or where the model's own value would be wrong.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from math import ceil, cos, pi, sin
from typing import Any, Final

import jinja2
from scipy.special import ndtri

from planner.asking.answers import Answers, plain_yaml
from planner.asking.gear import Step, larger_burner, largest_burner
from planner.asking.question import PRACTICE
from planner.asking.questions import BY_KEY, EVERY_DAYS
from planner.asking.questions_more import ANGLER_DAYS
from planner.asking.scale import Scale, rounded
from planner.asking.typed import symbol_of
from planner.plugin.builtin.crowd_settings import MOST_PEOPLE
from planner.scenario.clock import DAYS
from planner.trade.metals import LEAD

YOURS: Final = "your answer"
PEOPLE_DIFFER_SHARE: Final = 0.14
"""Standard deviation of what people would pay at most, over its mean (assumed)."""
CERTAIN_SHARE: Final = 0.97
"""Where all ten of ten buy (assumed)."""
IN_REACH: Final = {"casters": (20, 1.8), "anglers": (24, 2.5)}
"""People in reach: at least so many (10 to 30 casters: common practice), and so many times those who know (assumed)."""
INCH_CM: Final = 2.54
MONTH_DAYS: Final = 365.0 / 12.0
_MUST: Final = frozenset({"hour_price", "hours", "payload", "burner", "stand", "cash"})
"""Answers without which there is no scenario."""
_PORTIONS: Final = {"full": 1, "half": 2, "third": 3}
_BY_HAND: Final = "by hand"
FULLEST: Final = 65.0 / 59.0
"""The heaviest bucket over a usual one (assumed, as in ``core.shops``)."""
_HEAVIER: Final = 1.02
"""A split is not exact: the heavier part over its share (assumed)."""


@dataclass(frozen=True, slots=True)
class Crowd:
    """A class of private buyers, as a scenario tells of it. Money a kg of this currency."""

    known: int
    people: int
    gap_days: float
    size_kg: tuple[float, float, float]
    most_per_kg: float


class Draft:
    """What the template is told.

    Parameters
    ----------
    answers : Answers
        With what is usual where there is none.
    efficiency_share : float or None
        Of the burner, reckoned from the hours a bucket takes.
    """

    def __init__(self, answers: Answers, efficiency_share: float | None) -> None:
        self.answers, self.efficiency_share = answers, efficiency_share
        self.told, self.scale = answers.told, answers.scale

    # -- one line of the file ------------------------------------------------------------------------------------------

    def line(self, indent: int, key: str, of: str, value: str | None = None, more: str = "") -> str:
        """A key and where its value comes from; a comment where it is left to the model; nothing if there is none."""
        written = self.answers.written(of)
        if written is None:
            return ""
        text = f"{key}: {value if value is not None else plain_yaml(written)}"
        source = self.mark(of) + (f"; {more}" if more else "")
        return f"{' ' * indent}{'' if self.stands(of) else '# '}{text} # {source}\n"

    def block(self, indent: int, key: str, **those: str) -> str:
        """A block of keys, each from an answer; one comment where all of them are left to the model."""
        written = {name: of for name, of in those.items() if self.answers.written(of) is not None}
        if any(map(self.stands, written.values())):
            lines = (self.line(indent + 2, name, of) for name, of in written.items())
            return f"{' ' * indent}{key}:\n{''.join(lines)}"
        usual = plain_yaml({name: self.answers.written(of) for name, of in written.items()})
        sources = ", ".join(dict.fromkeys(map(self.mark, written.values())))
        return f"{' ' * indent}# {key}: {usual} # {sources}\n"

    def stands(self, of: str) -> bool:
        """Must it be written: because it was answered, or the model would take something else, or nothing?"""
        wrong = self.scale.foreign and symbol_of(of).startswith("money")
        return self.answers.written(of) is not None and (of in self.answers.yours or of in _MUST or wrong)

    def mark(self, of: str) -> str:
        """Where an answer is from."""
        if of in self.answers.yours:
            return YOURS
        if of in ("stand",):
            return "assumed: what your pot weighs when full, and some more"
        source = BY_KEY[of].source
        rate = " in EUR, at your rate" if self.scale.foreign and symbol_of(of).startswith("money") else ""
        return f"{source}{rate}"

    def yours(self, *keys: str) -> bool:
        """Was one of these answered?"""
        return any(key in self.answers.yours for key in keys)

    @property
    def today(self) -> str:
        """The business in one sentence."""
        burner, lift = self.answers.written("burner"), self.told.lift or "half"
        how = {"full": "lifted whole", "half": "split in two", "third": "split in three"}.get(
            lift, f"by {lift}"
        )
        where = {"open air": "in the open", "roof": "under a roof"}.get(
            self.told.place or "", "in a closed room"
        )
        return f"A burner of {burner} {where}, buckets {how}."

    def quoted(self, value: Any) -> str:
        """A plain value on one line."""
        return plain_yaml(value)

    # -- lifting and gear ----------------------------------------------------------------------------------------------

    @property
    def bucket_kg(self) -> float:
        """A full bucket."""
        return self.told.bucket_kg or 59.0

    @property
    def method(self) -> str:
        """Of lifting, as a scenario names it."""
        lift = self.told.lift or "half"
        return _BY_HAND if lift in _PORTIONS else lift

    @property
    def portion(self) -> str:
        """Most lifted at once; empty where a bucket is never split."""
        parts = _PORTIONS.get(self.told.lift or "half", 0)
        return self.mass_up((_HEAVIER if parts > 1 else 1.0) * self.bucket_kg / parts) if parts else ""

    @property
    def half(self) -> str:
        """Half a bucket."""
        return self.mass_up(_HEAVIER * self.bucket_kg / 2)

    @property
    def whole(self) -> str:
        """More than any bucket weighs."""
        return self.mass_up(FULLEST * self.bucket_kg)

    @property
    def by_two(self) -> str:
        """A usual bucket as it is; what is heavier is split."""
        return self.mass_up(_HEAVIER * self.bucket_kg)

    def mass_up(self, kg: float) -> str:
        """A mass, rounded up to a whole unit."""
        scale = Scale(us=self.scale.us)
        whole = ceil(float(scale.mass(kg).split()[0]) - 1e-6)
        return f"{whole} {scale.mass_unit}"

    @property
    def pot(self) -> tuple[float, float]:
        """Its diameter and height [cm]."""
        return self.told.pot_diameter_cm or 25.0, self.told.pot_height_cm or 20.0

    @property
    def stand_kg(self) -> float:
        """What today's stand bears."""
        return self.told.stand_kg or 0.0

    def bearing(self, diameter_cm: float, height_cm: float) -> str:
        """A stand that bears such a pot when full, and never less than today's."""
        return self.mass_up(max(full_pot_kg(diameter_cm, height_cm), self.stand_kg))

    @property
    def heel(self) -> str:
        """An inch of lead in the pot."""
        area_m2 = pi / 4 * (self.pot[0] / 100) ** 2
        return self.scale.mass(area_m2 * INCH_CM / 100.0 * LEAD.liquid_kg_per_m3)

    @property
    def larger_pot(self) -> tuple[float, float]:
        """A pot one could buy: an eighth wider, a little higher [cm]."""
        return min(1.12 * self.pot[0], 119.0), min(1.07 * self.pot[1], 119.0)

    @property
    def burners(self) -> tuple[Step | None, Step | None]:
        """The next larger burner, and the largest worth having; None where today's is as large."""
        power_w = self.told.burner_w or 0.0
        return larger_burner(power_w), largest_burner(power_w)

    def length(self, cm: float) -> str:
        """A length."""
        return f"{rounded(cm / INCH_CM if self.scale.us else cm)} {'in' if self.scale.us else 'cm'}"

    # -- shops and buyers ----------------------------------------------------------------------------------------------

    @property
    def shops(self) -> list[tuple[str, str, str]]:
        """Shops that give: a name, and where each is, so that all are as far away as was said."""
        return self._round("Shop", self.told.shops or 3, 1.0)

    @property
    def unknown_shops(self) -> list[tuple[str, str, str]]:
        """Shops that nobody has asked yet, further out."""
        return self._round("Unasked shop", 4, 1.5)

    def _round(self, name: str, number: int, times: float) -> list[tuple[str, str, str]]:
        far = (self.told.shop_distance_km or 5.0) * times
        angles = [2.0 * pi * (i + (times - 1.0)) / number for i in range(number)]
        place = self.scale.distance
        return [
            (f"{name} {i}", place(far * cos(angle)), place(far * sin(angle)))
            for i, angle in enumerate(angles, 1)
        ]

    @property
    def shop_gap_days(self) -> float:
        """From one full bucket to the next, of each shop."""
        return (self.told.shops or 3) * MONTH_DAYS / (self.told.buckets_per_month or 3.0)

    @property
    def buys_share(self) -> float:
        """Of those who ask, those who buy."""
        return min((self.told.buy_of_ten or 9) / 10.0, CERTAIN_SHARE)

    @property
    def most_per_kg(self) -> float:
        """What people would pay at most, on average, so that as many buy at the price that is asked."""
        within = PEOPLE_DIFFER_SHARE * float(ndtri(self.buys_share))
        return (self.told.asked_per_kg or 4.4) / (1.0 - within)

    @property
    def casters(self) -> Crowd:
        """Those who cast bullets."""
        return self._crowd("casters", self.told.casters or 0, self.told.orders_per_month, EVERY_DAYS)

    @property
    def anglers(self) -> Crowd:
        """Those who cast sinkers."""
        return self._crowd("anglers", self.told.anglers or 0, self.told.angler_orders_per_month, ANGLER_DAYS)

    def _crowd(self, name: str, known: int, orders: float | None, usual_days: float) -> Crowd:
        least, times = IN_REACH[name]
        gap_days = known * MONTH_DAYS * self.buys_share / orders if known and orders else usual_days
        usual_kg = (self.told.order_kg or 10.0) if name == "casters" else (self.told.angler_order_kg or 3.0)
        size_kg = (usual_kg / 2.0, usual_kg, 2.5 * usual_kg)
        return Crowd(
            known, min(max(least, ceil(times * known)), MOST_PEOPLE), gap_days, size_kg, self.most_per_kg
        )

    # -- texts ---------------------------------------------------------------------------------------------------------

    def spread(self, mean: str, share: float) -> str:
        """A normal spread around a written amount."""
        number, unit = mean.split(" ", 1)
        return f"{{normal: {{mean: {mean}, sd: {rounded(share * float(number))} {unit}}}}}"

    def days(self, days: float, share: float) -> str:
        """A spread of gaps."""
        return f"{{gamma: {{mean: {rounded(days)} days, sd: {rounded(share * days)} days}}}}"

    def times(self, written: str, times: float) -> str:
        """A written amount so many times."""
        number, unit = written.split(" ", 1)
        return f"{rounded(times * float(number))} {unit}"

    def day(self, months: float, less: int = 0) -> date:
        """A date so many months after the first day."""
        return self.answers.start + timedelta(days=round(months * MONTH_DAYS) - less)

    @property
    def free_days(self) -> list[str]:
        """Weekdays with free hours, the longest first."""
        hours = dict(zip(DAYS, self.told.hours or ((),) * 7, strict=True))
        length = {day: sum(end - start for start, end in times) for day, times in hours.items()}
        return sorted((day for day in DAYS if length[day]), key=lambda day: -length[day])

    @property
    def longest_day(self) -> str:
        """In full."""
        names = ("Mondays", "Tuesdays", "Wednesdays", "Thursdays", "Fridays", "Saturdays", "Sundays")
        return names[DAYS.index(self.free_days[0])]

    @property
    def weather_model(self) -> str:
        """Of a measured file."""
        name = str(self.answers.written("weather_file") or "").lower()
        return "measured.epw" if name.endswith(".epw") else "measured.csv"


def full_pot_kg(diameter_cm: float, height_cm: float) -> float:
    """What a pot weighs when full, at most: 8 kg a litre, lead and loose weights, and 5 kg of its own (assumed)."""
    return 5.0 + 8.0 * pi / 4 * (diameter_cm / 10) ** 2 * height_cm / 10


def scenario_text(answers: Answers, efficiency_share: float | None = None, *, bare: bool = False) -> str:
    """A scenario.

    Parameters
    ----------
    answers : Answers
        With what is usual where there is none.
    efficiency_share : float, optional
        Of the burner, reckoned from the hours that a bucket takes.
    bare : bool
        Without options, outlooks and ranges: for looking at the business as it is.
    """
    draft = Draft(answers, efficiency_share)
    return _template().render(d=draft, t=draft.told, s=draft.scale, bare=bare, practice=PRACTICE)


@cache
def _template() -> jinja2.Template:
    return jinja2.Environment(
        loader=jinja2.PackageLoader("planner", "asking"),
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        undefined=jinja2.StrictUndefined,
        autoescape=False,  # not markup: a scenario
    ).get_template("scenario.yaml.j2")
