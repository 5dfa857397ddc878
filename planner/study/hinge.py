"""What the gain of an option hangs on, as one value.

In: what was found. Out: ``Hinges``, plain enough to be stored. Must not know: how it was found, how it is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from planner.scenario.axis import Axis
from planner.scenario.inputs import Way
from planner.study.failures import FailedRun
from planner.study.indices import Effect, Shares
from planner.study.intervals import Interval
from planner.study.study import Subject
from planner.trade.safety import Caution

FEW: Final = 6
"""In fewer points than this nothing can be said of where they lie (assumed)."""
NEARLY_ALL_SHARE: Final = 0.9
"""What happens at more of the points than this happens everywhere (assumed)."""
ONE_WAY_SHARE: Final = 0.5
"""Of effects that take each other off to less than this share it is not said which way they go (assumed)."""
LITTLE_SHARE: Final = 0.1
"""An input that moves the gain by less than this share of what the first one does hardly matters (assumed)."""

A_LIMIT: Final = "a hard limit"
"""What stands in the way of an option that is refused at a point."""

Direction = Literal["raises", "lowers", "both", "nothing"]
Where = Literal["nowhere", "few", "everywhere", "scattered", "box"]


@dataclass(frozen=True, slots=True)
class Hinge:
    """One input with a range.

    Parameters
    ----------
    name : str
        The user's.
    way : str
        Numbers along it are ``set``, or multiply or are added to what is there.
    unit : str
        Of these numbers; empty where they have none.
    low, high : float
        The range.
    today : float or None
        Where the scenario stands on it, if that is one number.
    effect : Effect or None
        On its way from one end to the other; None where the screening was broken off.
    shares : Shares or None
        Of the inputs that were taken on.
    """

    name: str
    way: Way
    unit: str
    low: float
    high: float
    today: float | None
    effect: Effect | None
    shares: Shares | None

    @property
    def direction(self) -> Direction:
        """What more of it does to the gain."""
        if self.effect is None or self.effect.size == 0.0:
            return "nothing"
        if abs(self.effect.mean) < ONE_WAY_SHARE * self.effect.size:
            return "both"
        return "raises" if self.effect.mean > 0.0 else "lowers"

    @classmethod
    def of(cls, axis: Axis, effect: Effect | None, shares: Shares | None) -> Hinge:
        """The input that moves along an axis."""
        way = axis.levers[0].way
        unit = axis.levers[0].unit
        return cls(axis.label, way, unit, axis.low, axis.high, axis.today, effect, shares)


@dataclass(frozen=True, slots=True)
class Limit:
    """One side of the box; None where the range ends."""

    hinge: int
    """Which of the inputs."""
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Flips:
    """Where, all over the ranges, another of the options that were played brings more.

    Parameters
    ----------
    points : int
        Points at which every run has a result.
    failed : int
        Points left out since a run failed there.
    first_failed : FailedRun or None
        One of these.
    flipped : int
        Points at which the option is not the best.
    by : tuple of (str, int)
        What is, and at how many points; the most frequent first.
    limits : tuple of Limit
        Of the box that holds most of them and little else; empty where there is none.
    inside, flipped_inside : int
        Points in that box, and those of them at which the option is not the best.
    by_inside : str
        What is, most often, in the box; empty without one.
    gains : tuple of float
        The gain that one point in ten stays below, the middle one, and the one that one in ten exceeds.
    """

    points: int
    failed: int
    first_failed: FailedRun | None
    flipped: int
    by: tuple[tuple[str, int], ...]
    limits: tuple[Limit, ...]
    inside: int
    flipped_inside: int
    by_inside: str
    gains: tuple[float, ...]

    @property
    def where(self) -> Where:
        """What may be said of where they lie."""
        if not self.flipped:
            return "nowhere"
        if self.limits:
            return "box"
        if self.flipped > NEARLY_ALL_SHARE * self.points:
            return "everywhere"
        return "few" if self.flipped < FEW else "scattered"


@dataclass(frozen=True, slots=True)
class Broken:
    """A run without a result at a point, where a method needs every one: nothing is made up, so nothing is told."""

    stage: Literal["screening", "shares"]
    failed: int
    """Points without a gain."""
    points: int
    """Of so many."""
    inputs: tuple[str, ...]
    """The first of them."""
    run: FailedRun


@dataclass(frozen=True, slots=True)
class Hinges:
    """What the gain of one option hangs on.

    Parameters
    ----------
    subject : Subject
        Scenario, seed, worlds at each point.
    option : str
        Whose gain, beside "as today", is looked at.
    others : tuple of str
        Options that might overtake it, beside "as today".
    gain : Interval
        At the values that the scenario gives.
    best_today : str
        The best of these options there.
    hinges : tuple of Hinge
        In the order of the scenario.
    screened, shared : int
        Points of the screening, and those that shares are told from.
    flips : Flips or None
        None where something before it was broken off.
    broken : Broken or None
        Why there are no shares, or not even a screening.
    """

    subject: Subject
    option: str
    others: tuple[str, ...]
    gain: Interval
    best_today: str
    hinges: tuple[Hinge, ...]
    screened: int
    shared: int
    flips: Flips | None
    broken: Broken | None
    cautions: tuple[Caution, ...]
    warnings: tuple[str, ...]

    @property
    def ranked(self) -> tuple[Hinge, ...]:
        """Those that matter most first: by their share, then by what the screening says."""
        return tuple(sorted(self.hinges, key=_weight, reverse=True))

    @property
    def foremost(self) -> tuple[Hinge, ...]:
        """The one that matters most, and those that the points do not surely put behind it."""
        ranked = [one for one in self.ranked if one.effect is not None and one.effect.size > 0.0]
        most = ranked[0].shares if ranked else None
        if most is None:
            return tuple(ranked[:1])
        return tuple(one for one in ranked if one.shares and one.shares.total.high >= most.total.mean)

    @property
    def idle(self) -> tuple[Hinge, ...]:
        """Inputs that hardly matter."""
        most = max((one.effect.size for one in self.hinges if one.effect), default=0.0)
        return tuple(one for one in self.hinges if one.effect and one.effect.size <= LITTLE_SHARE * most)


def _weight(one: Hinge) -> tuple[float, float]:
    return one.shares.total.mean if one.shares else -1.0, one.effect.size if one.effect else -1.0
