"""What is other in some runs than the scenario says, before any option or outlook is applied.

In: a path such as ``owner.hour_price`` and what is to stand there, or the name of an option that is taken already.
Out: ``Input`` and ``Taken``, which a run can be asked with. Must not know: what the path leads to.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Final, Literal

from planner.scenario.wording import quoted

Way = Literal["set", "times", "plus", "tilt"]
SIGNS: Final[dict[str, Way]] = {"=": "set", "*=": "times", "+=": "plus", "~=": "tilt"}
"""How each way is written between the path and the value."""
FACTORS: Final[frozenset[Way]] = frozenset({"times", "tilt"})
"""Ways whose number is a factor, above 0 and 1 where nothing changes."""


@dataclass(frozen=True, slots=True)
class Input:
    """One value that is set, multiplied, added to, or tilted: a share that counts more beside those that give way.

    Parameters
    ----------
    path : str
        Keys with dots between them, as for the changes of an option.
    value : str or float
        What to set, the factor, or what to add; with its unit, as a file would hold it. What is set may be a block or
        a list too.
    way : str
        ``set``, ``times``, ``plus`` or ``tilt``.
    """

    path: str
    value: Any
    way: Way = "set"

    @property
    def change(self) -> Any:
        """The same as the change of an option."""
        return self.value if self.way == "set" else {self.way: self.value}

    def __str__(self) -> str:
        """As it is written on the command line."""
        sign = next(sign for sign, way in SIGNS.items() if way == self.way)
        return f"{self.path}{sign}{self.value}"

    @property
    def words(self) -> tuple[str, str]:
        """The same as words of a command line."""
        return "--set", str(self)


@dataclass(frozen=True, slots=True)
class Taken:
    """An option that is taken already: what it changes is how the business is, and its gear is paid for.

    Others come on top of it, each with its own cost beside. What several set, the last one says; ``times``, ``plus``,
    ``tilt``, ``append`` and ``remove`` work on what they find.
    """

    option: str

    def __str__(self) -> str:
        """As a reader is told of it."""
        return f"after {self.option}"

    @property
    def words(self) -> tuple[str, str]:
        """The same as words of a command line."""
        return "--after", self.option


Given = Input | Taken
"""What a run can be asked with; of several, one after the other."""


def input_of(text: str) -> Input:
    """Read ``path=value``, ``path*=factor``, ``path+=value`` or ``path~=factor``.

    Raises
    ------
    ValueError
        It is written otherwise.
    """
    found = re.fullmatch(r"\s*([^=*+]+?)\s*([*+~]?=)\s*(.+?)\s*", text)
    if found is None:
        raise ValueError(
            f"{quoted(text)} is not understood; write a path, = and a value, such as 'owner.hour_price=6 EUR/h', or "
            "'rates.settings.lead.mean*=0.9'"
        )
    path, sign, value = found.groups()
    # longer ones are told as too large by whoever reads the value
    plain = re.fullmatch(r"-?\d{1,18}(\.\d{1,300})?", value)
    return Input(
        path, float(value) if plain and "." in value else int(value) if plain else value, SIGNS[sign]
    )
