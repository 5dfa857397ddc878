"""Values of a scenario that move together along a range: a path with two ends, as the command line writes it.

In: ``owner.hour_price=2 EUR/h..20 EUR/h`` and every value of a business written out. Out: ``Axis``, which says for each
number along the range what is to stand where. Must not know: what is played along it.

A ``*`` in a path stands for any key, or any entry of a list, at that place: all of them move.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np

from planner.scenario.amounts import is_spread
from planner.scenario.changes import paths_of
from planner.scenario.errors import InputError, Problem
from planner.scenario.inputs import FACTORS, SIGNS, Input, Way
from planner.scenario.units import NUMBER, split_written
from planner.scenario.wording import quoted

DIGITS: Final = 9
"""A number along a range is written with so many digits that count."""
NEAREST: Final = 3
"""So many paths are named where one is wrong."""
LIKE: Final = 0.5
"""How alike a path is at least to be named (a ratio of `difflib`; assumed)."""

_STEP: Final = r"(?:[^=+.*~]|~(?!=))+"
"""Of a path: a key, or a name."""
_END = re.compile(rf"({NUMBER})\s*(.*)")
_NEUTRAL: Final[Mapping[Way, float]] = {"times": 1.0, "tilt": 1.0, "plus": 0.0}


class RangeError(ValueError):
    """A range that is not written as one."""


@dataclass(frozen=True, slots=True)
class Lever:
    """One value that an axis moves: ``offset + scale * x`` stands there, multiplies it or is added to it.

    Parameters
    ----------
    path : str
        Keys with dots between them.
    way : str
        ``set``, ``times``, ``plus`` or ``tilt``.
    unit : str
        Of the number; empty where there is none.
    scale, offset : float
        See above.
    """

    path: str
    way: Way = "set"
    unit: str = ""
    scale: float = 1.0
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class Axis:
    """A range and what it moves.

    Parameters
    ----------
    label : str
        What moves, for a reader.
    unit : str
        Of the numbers along it; empty where there is none.
    low, high : float
        Its ends.
    levers : tuple of Lever
        What each number along it means.
    whole : bool
        Are there only whole numbers along it?
    today : float or None
        The number at which the scenario stands; None where there is no one number.
    """

    label: str
    unit: str
    low: float
    high: float
    levers: tuple[Lever, ...]
    whole: bool = False
    today: float | None = None

    def points(self, number: int) -> tuple[float, ...]:
        """So many numbers from end to end, evenly spaced; fewer where there are fewer whole ones."""
        found = [_rounded(x) for x in np.linspace(self.low, self.high, number).tolist()]
        return tuple(dict.fromkeys(float(round(x)) for x in found)) if self.whole else tuple(found)

    def inputs(self, x: float) -> tuple[Input, ...]:
        """What is to stand where at this number; what changes nothing is left out."""
        found = []
        for lever in self.levers:
            value = _rounded(lever.offset + lever.scale * x)
            if _NEUTRAL.get(lever.way) != value:
                found.append(Input(lever.path, self._written(value, lever.unit), lever.way))
        return tuple(found)

    def _written(self, value: float, unit: str) -> str | float:
        if unit:
            return f"{np.format_float_positional(value, trim='-')} {unit}"
        return round(value) if self.whole else value


def axis_of(text: str, written: Any, currency: str, file: Path) -> Axis:
    """Read ``path=low..high``, ``path*=low..high``, ``path+=low..high`` or ``path~=low..high``.

    Parameters
    ----------
    text : str
        As the command line has it.
    written : mapping
        Every value of the business written out.
    currency : str
        The scenario's.
    file : Path
        The scenario, for messages.

    Raises
    ------
    RangeError
        It is written otherwise.
    InputError
        The path leads nowhere, or to something that is no number.
    """
    # the sign behind a path that ends in a key or in a * of its own: a.b*=2 multiplies a.b, a.*=2 sets each in a
    found = re.fullmatch(rf"\s*((?:{_STEP}|\*)(?:\.(?:{_STEP}|\*))*?)\s*([*+~]?=)\s*(.+?)\.\.(.+?)\s*", text)
    ends = None if found is None else [_END.fullmatch(found[number].strip()) for number in (3, 4)]
    if found is None or ends is None or ends[0] is None or ends[1] is None:
        raise RangeError(
            f"{text!r} is not understood; write a path, = and a range, such as "
            "'owner.hour_price=2 EUR/h..20 EUR/h', or 'rates.settings.*.mean*=0.3..1.2'"
        )
    path, way = found[1].strip(), SIGNS[found[2]]
    low, high = float(ends[0][1]), float(ends[1][1])
    units = [end[2].strip() for end in ends if end is not None]
    unit = units[0] or units[1]
    if any(re.match(r"[eE][+-]?\d", one) for one in units):
        raise RangeError(f"the ends of {text!r} are not understood; write them in digits, such as 1500")
    if units[0] and units[1] and units[0] != units[1]:
        raise RangeError(f"the ends of {text!r} are in {units[0]} and {units[1]}; write both in one unit")
    if low == high:
        raise RangeError(f"the range of {text!r} ends where it begins; write two different ends")
    if low > high:
        turned = f"{path}{found[2]}{found[4].strip()}..{found[3].strip()}"
        raise RangeError(f"the range of {text!r} falls; write the lower end first: '{turned}'")
    values = dict(matching(path, written))
    if not values:
        raise _wrong(path, way, written, currency, file)
    moved = {one: value for one, value in values.items() if _why_not(value, way, currency) is None}
    if not moved:
        one, value = next(iter(values.items()))
        raise _problem(file, one, str(_why_not(value, way, currency, f"{one}.")))
    whole = way not in FACTORS and not unit and all(_is_whole(value) for value in moved.values())
    if whole and not (low.is_integer() and high.is_integer()):
        raise RangeError(f"{path} is a whole number; write whole ends in {text!r}")
    return Axis(
        path,
        "times today's" if way in FACTORS else unit,
        low,
        high,
        tuple(Lever(one, way, unit) for one in moved),
        whole,
        _NEUTRAL[way] if way in _NEUTRAL else _today(moved, unit),
    )


def matching(path: str, written: Any) -> Iterator[tuple[str, Any]]:
    """Every path that this one stands for, with what is written there."""
    word, _, rest = path.partition(".")
    for name, value in _children(written):
        if word.strip() in ("*", name):
            if not rest:
                yield name, value
                continue
            for below, inner in matching(rest, value):
                yield f"{name}.{below}", inner


def _children(here: Any) -> Iterator[tuple[str, Any]]:
    if isinstance(here, dict):
        yield from ((str(key), value) for key, value in here.items())
    elif isinstance(here, list):
        for number, entry in enumerate(here, start=1):
            name = entry.get("name") if isinstance(entry, dict) else None
            yield str(name or number), entry


def quantities(written: Any, symbol: str, currency: str, above: str = "") -> Iterator[str]:
    """Path of every single value of one kind, such as money/kg, at or below a place."""
    for name, value in _children(written):
        path = f"{above}.{name}" if above else name
        if isinstance(value, str) and (found := split_written(value, currency)) and found[1] == symbol:
            yield path
        elif isinstance(value, (dict, list)):
            yield from quantities(value, symbol, currency, path)


def _why_not(value: Any, way: Way, currency: str, above: str = "") -> str | None:
    """Why there is no range of this value; None where there may be one. What is in it lies at paths below ``above``."""
    if value is None:
        return None if way == "set" else "it is not set, so there is nothing to move; write a range with ="
    if isinstance(value, bool):
        return f"it is {'yes' if value else 'no'}, which has no range; only a number has one"
    if isinstance(value, str) and split_written(value, currency) is None:
        return f"it is {quoted(value)}, which has no range; only a number has one"
    if way == "set" and (isinstance(value, list) or (isinstance(value, dict) and not is_spread(value))):
        leaves = ((path, inner) for path, inner in _leaves(value, above) if inner is not None)
        inside = [path for path, inner in leaves if _why_not(inner, way, currency) is None]
        more = f", such as {', '.join(inside[:NEAREST])}" if inside else ""
        return f"it is no single number; write the path of one in it{more}, or multiply all of it with *="
    return None


def _leaves(tree: Any, above: str = "") -> Iterator[tuple[str, Any]]:
    for name, value in _children(tree):
        if isinstance(value, (dict, list)) and not is_spread(value):
            yield from _leaves(value, f"{above}{name}.")
        else:
            yield f"{above}{name}", value


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _today(moved: Mapping[str, Any], unit: str) -> float | None:
    """The one number that stands there now, if it is written in the same unit."""
    found: set[float] = set()
    for value in moved.values():
        if isinstance(value, (int, float)) and not unit:
            found.add(float(value))
            continue
        end = _END.fullmatch(value) if isinstance(value, str) else None
        if end is None or end[2].strip() != unit:
            return None
        found.add(float(end[1]))
    return found.pop() if len(found) == 1 else None


def _wrong(path: str, way: Way, written: Any, currency: str, file: Path) -> InputError:
    """What to say of a path that leads nowhere: the nearest right ones."""
    numbers = [
        one for one, value in _leaves(written) if value is not None and _why_not(value, way, currency) is None
    ]
    near = difflib.get_close_matches(path, numbers, n=NEAREST, cutoff=LIKE)
    last = path.rpartition(".")[2]
    near += [one for one in numbers if one.rpartition(".")[2] == last and one not in near]
    near += [one for one in difflib.get_close_matches(path, list(paths_of(written)), n=1) if one not in near]
    those = near[:NEAREST]
    guess = f"; nearest to it: {', '.join(those)}" if those else ""
    return _problem(file, path, f"there is no {quoted(path)} in the scenario{guess}")


def _problem(file: Path, path: str, words: str) -> InputError:
    return InputError.of([Problem(str(file), 0, 0, path, words)])


def _rounded(x: float) -> float:
    """The number with the digits that count, so that it is written as it is played."""
    return float(np.format_float_positional(x, precision=DIGITS, unique=False, fractional=False, trim="-"))


def joined(axes: Sequence[Axis], at: Sequence[float]) -> tuple[Input, ...]:
    """What stands where with several inputs at once."""
    return tuple(one for axis, x in zip(axes, at, strict=True) for one in axis.inputs(x))
