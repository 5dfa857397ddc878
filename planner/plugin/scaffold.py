"""A package of models to begin with: complete, small, and passing its tests.

In: a name and a kind. Out: the text of every file by its path, from the templates beside this module.
Must not know: where the files are written.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from importlib.resources import files
from keyword import iskeyword
from typing import Final, NamedTuple

import jinja2

from planner.plugin.packages import BUILT_IN, find_packages
from planner.plugin.protocol import ENTRY_POINT_GROUP, Kind
from planner.scenario.wording import shown

LONGEST: Final = 40
_NAME: Final = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*")
_PREFIX: Final = "planner-"
_TEMPLATES: Final = "template"


class NewPackageError(ValueError):
    """A package cannot be called so. One plain sentence with the right name."""


class Start(NamedTuple):
    """What a package of one kind begins with."""

    model: str
    cls: str
    summary: str
    written: str
    """Settings as the example scenario has them."""

    @property
    def constant(self) -> str:
        """Name of the provider."""
        return self.model.upper()

    @property
    def option(self) -> str:
        """The option of the example scenario in which the model is used."""
        return f"with {self.model.replace('_', ' ')}"


STARTS: Final[dict[Kind, Start]] = {
    "pricing": Start(
        "over_yard",
        "OverYard",
        "so many times what the yard pays, never below a floor",
        "{times: 3, least: 3.6 EUR/kg}",
    ),
    "supply": Start(
        "collector",
        "Collector",
        "one place that fills buckets, with a lead share that falls",
        "{x: 4 km, y: -2 km}",
    ),
    "weather": Start(
        "seasons",
        "Seasons",
        "a year and a day as cosines, with warm, windy and wet days",
        "{coldest: -1 degC, warmest: 20 degC, wet_share: 0.4}",
    ),
    "rates": Start(
        "together",
        "Together",
        "yard prices that rise and fall together from month to month",
        "{lead: 1.3 EUR/kg, weights: 0.4 EUR/kg, varies_share: 0.2}",
    ),
    "demand": Start(
        "neighbours", "Neighbours", "people who live near and come back", "{people: 12, known: 5}"
    ),
}
_LISTED: Final = ("supply", "demand")
"""Kinds of which a scenario names several models, each under a name."""


class NewPackage(NamedTuple):
    """A package that nobody has written yet."""

    name: str
    kind: Kind
    model: str
    """As a scenario names it, such as ``stall_price.over_yard``."""
    files: dict[str, str]
    """Texts by path below the package's folder."""


def new_package(name: str, kind: Kind) -> NewPackage:
    """The files of a package.

    Parameters
    ----------
    name : str
        Small letters, digits and single dashes, such as ``stall-price``; the package is then ``planner-stall-price``
        and its models ``stall_price.*``.
    kind : Kind
        What its model is for.

    Raises
    ------
    NewPackageError
        The name cannot be used, or is taken.
    """
    _check(name)
    start, namespace = STARTS[kind], name.replace("-", "_")
    values: dict[str, object] = {
        "project": f"{_PREFIX}{name}",
        "module": f"planner_{namespace}",
        "namespace": namespace,
        "named": f"{namespace}.{start.model}",
        "group": ENTRY_POINT_GROUP,
        "kind": kind,
        "model": start.model,
        "cls": start.cls,
        "section": f"{start.cls}Settings",
        "constant": start.constant,
        "summary": start.summary,
        "summary_line": f"{start.summary[0].upper()}{start.summary[1:]}.",
        "written": start.written,
        "listed": kind in _LISTED,
        "option": start.option,
        "example": f"{name}.yaml",
    }
    parts = {
        "block": _rendered("block.yaml", values),
        "how": _rendered(f"{kind}.how", values),
        "own": _rendered(f"{kind}.own", values),
        "usual": _text("usual.yaml").strip("\n"),
        "own_option": _rendered("option.yaml", values),
    }
    values |= parts
    made = {
        "pyproject.toml": _rendered("pyproject.toml", values),
        "README.md": _rendered("README.md", values),
        f"{name}.yaml": _rendered("scenario.yaml", values),
        f"src/{values['module']}/__init__.py": _rendered(f"{kind}.py", values),
        f"src/{values['module']}/py.typed": "",
        f"tests/test_{namespace}.py": _rendered("test.py", values),
    }
    return NewPackage(
        name,
        kind,
        f"{namespace}.{start.model}",
        {path: f"{text}\n" if text else "" for path, text in made.items()},
    )


def _check(name: str) -> None:
    right = _right(name)
    if not _NAME.fullmatch(name) or len(name) > LONGEST or name.startswith(_PREFIX):
        example = right or "stall-price"
        raise NewPackageError(
            f"'{shown(name)}' cannot be a package's name: small letters, digits and single dashes, at most {LONGEST}, "
            f"beginning with a letter, without 'planner-' in front (that is put there); such as {example}"
        )
    if iskeyword(name):
        raise NewPackageError(
            f"'{name}' is a word of Python's own, and cannot stand in front of a model's name; take another, such as "
            f"my-{name}"
        )
    taken = find_packages().get(name.replace("-", "_"))
    if name in (BUILT_IN, "planner"):
        raise NewPackageError(f"'{name}' is the planner's own name; take another, such as my-{name}")
    if taken:
        raise NewPackageError(
            f"the installed package {taken[0].name} {taken[0].version} offers models called "
            f"'{name.replace('-', '_')}' already; take another name, such as my-{name}"
        )


def _right(name: str) -> str:
    """The name that may be meant; empty where there is none."""
    small = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")
    bare = re.sub(r"^(?:planner-|[0-9]+-?|-)+", "", small)
    return bare[:LONGEST].strip("-")


def _rendered(name: str, values: Mapping[str, object]) -> str:
    environment = jinja2.Environment(  # texts for people and Python, no markup: nothing to escape
        autoescape=False, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.from_string(_text(name)).render(values).strip("\n")


def _text(name: str) -> str:
    return files("planner.plugin").joinpath(_TEMPLATES, f"{name}.j2").read_text("utf-8")
