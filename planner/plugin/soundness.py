"""What is wrong with an offer, and with a model once it is built, before either is used.

In: what a package returned, or built. Out: words for whoever wrote it; empty where nothing is wrong.
Must not know: how packages are found, what models do.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator, Mapping
from types import FunctionType
from typing import Any, Final

from pydantic import ValidationError

from planner.plugin.protocol import KINDS, Kind, Provider
from planner.scenario.complaints import Subject, complaints
from planner.scenario.data import LATER
from planner.scenario.section import Section
from planner.scenario.tree import Place, Tree, dotted

NAME: Final = re.compile(r"[a-z][a-z0-9_]*")
"""Of a model, and of the entry point whose name stands before it."""
ALLOWED: Final = "use small letters, digits and _"
_DRAW: Final = {"draw": ("draw", "horizon")}
METHODS: Final[Mapping[Kind, Mapping[str, tuple[str, ...]]]] = {
    "pricing": {"quote": ("view", "alloy", "mass_kg", "channel"), "tin": ("view",)},
    "supply": _DRAW,
    "weather": _DRAW,
    "rates": _DRAW,
    "demand": _DRAW,
}
"""What the models of each kind are asked, and with what."""


def wrong_offer(offer: Any) -> str:
    """What can be known to be wrong without building anything."""
    if not isinstance(offer, Provider):
        return f"planner_models returned {type(offer).__name__} among its Providers"
    if offer.kind not in KINDS:
        return f"{offer.name!r} is of the kind {offer.kind!r}; possible are {', '.join(KINDS)}"
    if not NAME.fullmatch(str(offer.name)):
        return f"{offer.name!r} cannot be a model's name; {ALLOWED}"
    settings, build = _any(offer.settings), _any(offer.build)
    if not (isinstance(settings, type) and issubclass(settings, Section)):
        own = f"{settings.__module__}.{settings.__qualname__}" if isinstance(settings, type) else settings
        return f"the settings of {offer.name!r} are `{own}`, which does not inherit planner.scenario.Section"
    if not callable(build):
        return f"the build of {offer.name!r} is {build!r}; it must be what makes a model of settings"
    return (_wrong_class(offer.kind, build) if isinstance(build, type) else "") or _wrong_example(offer)


def wrong_model(kind: Kind, model: Any) -> str:
    """What a model that was just built lacks."""
    if model is None:
        return "build returned None, not a model"
    return _first(
        _misfit(type(model).__name__, name, wanted, getattr(model, name, None))
        for name, wanted in METHODS[kind].items()
    )


def complaints_of(settings: type[Section], written: Any, context: Mapping[str, Any]) -> Iterator[str]:
    """What is wrong with settings as a user would write them, in the words of ``planner check``."""
    if not isinstance(written, Mapping):
        yield f"{type(written).__name__} was found where a mapping is needed, as a file holds it"
        return
    try:
        settings.model_validate(written, context=dict(context))
    except ValidationError as error:
        tree = Tree(dict(written), values={(): Place("", 0, 0)})
        subject = Subject(tree, (), settings, context.get("currency"), whole=(settings,))
        for one in complaints(error, subject):
            yield f"{dotted(one.steps, tree.value)}: {one.message}" if one.steps else one.message


def _wrong_example(offer: Provider) -> str:
    """What is wrong with the settings that users are shown; files may be wherever the user's scenario is."""
    found = "; ".join(complaints_of(offer.settings, offer.example, {LATER: True}))
    return f"the example of {offer.name!r} is not valid: {found}" if found else ""


def _wrong_class(kind: Kind, of: type) -> str:
    """What the models of a class will lack, as far as the class shows it."""
    return _first(
        _misfit(of.__name__, name, wanted, inspect.getattr_static(of, name, None), skipped=1)
        for name, wanted in METHODS[kind].items()
        if not _comes_later(of, name)
    )


def _misfit(owner: str, name: str, wanted: tuple[str, ...], method: Any, skipped: int = 0) -> str:
    """How a method differs from what is asked; ``skipped`` of its parameters are not handed in by us."""
    asked = f"({', '.join(wanted)})"
    if method is None or not (callable(method) or skipped):
        return f"{owner} has no method {name}{asked}"
    if skipped and not isinstance(method, FunctionType):
        return ""  # a static method, a property, or what only the model itself can show
    try:
        signature = inspect.signature(method)
    except (TypeError, ValueError):
        return ""
    plain = [one.replace(annotation=one.empty) for one in signature.parameters.values()][skipped:]
    signature = inspect.Signature(plain)
    try:
        signature.bind(*wanted)
    except TypeError:
        return f"{owner}.{name} takes {signature}; {asked} is needed"
    return ""


def _comes_later(of: type, name: str) -> bool:
    """May a model have what its class does not show?"""
    if hasattr(of, name):
        return False
    own = [vars(one) for one in of.__mro__ if one is not object]
    begins = [getattr(one.get("__init__"), "__code__", None) for one in own]
    return (
        any("__getattr__" in one or "__new__" in one or name in one.get("__annotations__", ()) for one in own)
        or any(name in code.co_names for code in begins if code is not None)
    )  # fmt: skip


def _first(found: Iterator[str]) -> str:
    return next(filter(None, found), "")


def _any(value: Any) -> Any:
    """What a package's author may have put there, whatever its type says."""
    return value
