"""A model asked for its part of a world, and what it may not do meanwhile.

In: a model, chance, the days. Out: the part, looked at and read-only; or a ``ModelError`` with the model, its package
and version, the hook, the run, and where the scenario names it. Must not know: who offers the models, other parts.

A model of a package gets a draw and a horizon of its own, and what it returns is copied: whatever it does to them, it
does to no other run.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, Final, Generic, Protocol, TypeVar

import numpy as np

from planner.world.draw import Draw, global_chance
from planner.world.inspection import inspect
from planner.world.parts import Crowd, Horizon, Supply
from planner.world.telling import HANDED, Homes, is_plain, told

Asks = Callable[[str], None]
"""Told which hook of a package is about to be asked, in one line; and ``""`` once it has answered. May refuse."""
DICE: Final = "it used Python's or numpy's global random numbers"
OR_ELSE: Final = "or runs could not be repeated"
P = TypeVar("P")
P_co = TypeVar("P_co", covariant=True)


class ModelError(Exception):
    """A model failed. One string, so that it stays whole wherever it is raised again."""


def unheard(hook: str) -> None:
    """Nobody wants to know which hook is asked."""


def intact() -> bool:
    """Nobody looks after the settings."""
    return True


class Drawing(Protocol[P_co]):
    """Whatever draws a part of the world, once a replicate."""

    def draw(self, draw: Draw, horizon: Horizon) -> P_co:
        """Draw the part."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Source(Generic[P]):
    """A model that is ready to draw.

    Parameters
    ----------
    stream : str
        Put before the names of its streams, such as ``supply/tyre shops``.
    name : str
        What the scenario calls it.
    label : str
        For messages: model, package and version.
    key : str
        The same for the same model with the same settings.
    model : Drawing
        The model.
    outside : bool
        It comes from a package, and is watched more closely.
    place : str
        Where the scenario names it, such as ``my.yaml:12``.
    intact : callable
        Are the settings that it was made with still as they were?
    homes : tuple of str
        Where the code of its package lies.
    """

    stream: str
    name: str
    label: str
    key: str
    model: Drawing[P]
    outside: bool = False
    place: str = ""
    intact: Callable[[], bool] = intact
    homes: Homes = ()


def when(draw: Draw, place: str) -> str:
    """Which run it was and where the scenario names the model, for messages."""
    run = f"replicate {draw.replicate}, seed {draw.seed}"
    return f"{run}, {place}" if place else run


def ask(source: Source[P], kind: type[P], draw: Draw, horizon: Horizon, asks: Asks) -> P:
    """Ask a model for its part.

    Raises
    ------
    ModelError
        It raised, did not end in time, returned what is no part of a world, or changed what it was handed.
    """
    where = f"{source.label}, draw, {when(draw, source.place)}"
    chance = draw.within(source.stream)
    lent, before = (_lent(horizon), global_chance()) if source.outside else (horizon, None)
    asks(where if source.outside else "")
    try:
        part = source.model.draw(chance, lent)
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        if not source.outside and is_plain(error):  # of a model of ours the key says enough
            path = source.stream.replace("/", ".")
            where = f"{source.place}: {path}" if source.place else path
            raise ModelError(f"{where}: {' '.join(str(error).split())}") from error
        raise ModelError(f"{where}: {told(error, source.homes)}") from error
    asks("")
    if before is not None:
        if global_chance() != before:
            raise ModelError(
                f"{where}: {DICE}; a model takes its chance from the streams it is handed, {OR_ELSE}"
            )
        _see_it_left_alone(
            source, where, draw=chance == draw.within(source.stream), horizon=_alike(lent, horizon)
        )
    try:
        inspect(part, kind, horizon)
    except ValueError as error:
        raise ModelError(f"{where}: {error}") from error
    except Exception as error:
        raise ModelError(f"{where}: what it returned cannot be read: {told(error, source.homes)}") from error
    if isinstance(part, (Supply, Crowd)):
        part = replace(part, name=source.name)
    return own_copy(part) if source.outside else part


def _see_it_left_alone(source: Source[P], where: str, **handed: bool) -> None:
    """Tell what of all that it was handed is no longer as it was."""
    changed = [name for name, alike in (handed | {"settings": source.intact()}).items() if not alike]
    if changed:
        raise ModelError(f"{where}: it changed the {' and the '.join(changed)} that it was handed; {HANDED}")


def _lent(horizon: Horizon) -> Horizon:
    """The same horizon with columns of its own, read-only."""
    lent = copy.copy(horizon)
    for name, value in vars(horizon).items():
        if isinstance(value, np.ndarray):
            vars(lent)[name] = own_copy(value)
    return lent


def _alike(lent: Horizon, horizon: Horizon) -> bool:
    """Is everything in it as it was?"""
    theirs = vars(lent)
    return all(
        np.array_equal(theirs[name], value) if isinstance(value, np.ndarray) else theirs[name] == value
        for name, value in vars(horizon).items()
    )


def own_copy(value: Any) -> Any:
    """A copy that nobody else can write into, of whatever parts of the world are made of."""
    if isinstance(value, np.ndarray):
        value = value.copy()
        value.setflags(write=False)
        return value
    if isinstance(value, Mapping):
        return {key: own_copy(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        inner = map(own_copy, value)
        return type(value)._make(inner) if hasattr(value, "_make") else tuple(inner)
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{one.name: own_copy(getattr(value, one.name)) for one in fields(value)})
    return value
