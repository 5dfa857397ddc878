"""What of a scenario cannot be judged, since something that it hangs on is wrong itself.

In: places of what is wrong. Out: yes or no for other places. One mistake is told once: what only follows from it waits,
everything else is told beside it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from planner.scenario.tree import Steps

ANY: Final = "*"
Failed = tuple[str, str]
"""Where a check across keys failed, and which."""


class Places:
    """A set of paths, asked for those that a path leads to, or comes through.

    Parameters
    ----------
    paths : iterable of Steps
        The paths.
    """

    def __init__(self, paths: Iterable[Steps] = ()) -> None:
        self._paths = frozenset(paths)
        self._above = {path[:end] for path in self._paths for end in range(len(path))}

    def __contains__(self, steps: Steps) -> bool:
        return steps in self._paths

    def also(self, paths: Iterable[Steps]) -> Places:
        """These and more."""
        more = frozenset(paths) - self._paths
        return Places(self._paths | more) if more else self

    def over(self, steps: Steps) -> bool:
        """True where this path is one of them, or comes through one."""
        return any(steps[:end] in self._paths for end in range(len(steps) + 1))

    def meet(self, steps: Steps) -> bool:
        """True where this path is one of them, comes through one, or leads to one; its step `*` is any entry."""
        if ANY not in steps:
            return steps in self._above or self.over(steps)
        return any(all(a in (b, ANY) for a, b in zip(steps, path, strict=False)) for path in self._paths)

    def names_in(self, steps: Steps) -> bool:
        """True where an entry of the list at this path is one of them, or its name is."""
        length = len(steps)
        return steps in self._above and any(
            path[length + 1 :] in {(), ("name",)}
            for path in self._paths
            if path[:length] == steps and len(path) > length
        )


NOWHERE: Final = Places()


@dataclass(frozen=True, slots=True)
class Doubt:
    """What cannot be judged.

    Attributes
    ----------
    stand_ins : Places
        Paths at which something stands in for what is wrong or missing.
    before : Places
        The same of what was changed.
    anew : Places
        Paths at and below which the change wrote everything anew.
    failed : frozenset of Failed
        Checks across keys that have been told.
    incomplete : bool
        True where a file that is extended could not be read.
    everything : bool
        True where therefore nothing can be judged but what a change wrote.
    """

    stand_ins: Places = NOWHERE
    before: Places = NOWHERE
    anew: Places = NOWHERE
    failed: frozenset[Failed] = frozenset()
    incomplete: bool = False
    everything: bool = False

    def is_new(self, steps: Steps) -> bool:
        """True where a change wrote this."""
        return self.anew.over(steps)

    def at(self, steps: Steps) -> bool:
        """True where this place, something below it, or what it stands in is in doubt."""
        old = not self.is_new(steps) and (self.everything or self.before.meet(steps))
        return old or self.stand_ins.meet(steps)

    def over(self, steps: Steps) -> bool:
        """True where something stands in for this very place, or for what it stands in."""
        return self.stand_ins.over(steps) or (not self.is_new(steps) and self.before.over(steps))

    def names_in(self, steps: Steps) -> bool:
        """True where it is not known what stands here, or what the entries of this list are called."""
        return self.everything or self.stand_ins.over(steps) or self.stand_ins.names_in(steps)

    def also(self, stand_ins: Iterable[Steps] = (), failed: Iterable[Failed] = ()) -> Doubt:
        """The same and more."""
        return replace(self, stand_ins=self.stand_ins.also(stand_ins), failed=self.failed.union(failed))

    def changed(self, anew: Iterable[Steps]) -> Doubt:
        """What cannot be judged once a change has written these paths anew."""
        return replace(self, stand_ins=NOWHERE, before=self.stand_ins, anew=Places(anew))


CERTAIN: Final = Doubt()
