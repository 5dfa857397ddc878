"""What a process elsewhere must have for its runs to be ours to the last bit.

In: a scenario. Out: what its runs hang on besides it, by name; what differs between two places, and what to do.
Must not know: where a process is, how it is reached.
"""

from __future__ import annotations

import hashlib
import math
import platform
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any, Final

import numpy as np
from scipy import special

import planner
from planner.plugin.code import digest_of, places_of, version_of
from planner.plugin.packages import is_outside
from planner.plugin.registry import Registry
from planner.scenario import Scenario
from planner.scenario.data import content_digest

LIBRARIES: Final = ("numpy", "scipy", "simpy")
SOURCE, FILE, SUMS = "the source of ", "the file ", "arithmetic"
NONE: Final = ""
"""What stands where something is not there."""

Papers = Mapping[str, str]
"""What is there, by name: a version, or the digest of a content."""


@dataclass(frozen=True, slots=True)
class Needs:
    """What the runs of a scenario hang on besides planner itself."""

    packages: tuple[tuple[str, str], ...] = ()
    """Name of each installed package that the scenario names, and of its module."""
    files: tuple[str, ...] = ()
    """Its data files."""


def needs_of(scenario: Scenario) -> Needs:
    """What a scenario names under any option and outlook."""
    registry, packages, files = Registry(), set[tuple[str, str]](), set[str]()
    for model in scenario.models:
        package = registry.package(model)
        if is_outside(model) and package.entry is not None:
            packages.add((package.name, package.entry.module.partition(".")[0]))
    for option, outlook in product(scenario.options, scenario.outlooks):
        files.update(map(str, _paths(scenario.business(option, outlook))))
    return Needs(tuple(sorted(packages)), tuple(sorted(files)))


def papers(needs: Needs) -> Papers:
    """What is there in this process."""
    here = {"planner": planner.__version__, "Python": platform.python_version()}
    here |= {name: version_of(name) for name in LIBRARIES}
    here[f"{SOURCE}planner"] = _source("planner")
    for name, module in needs.packages:
        here |= {name: version_of(name), f"{SOURCE}{name}": _source(module)}
    here |= {
        f"{FILE}{name}": content_digest(path) if (path := Path(name)).is_file() else NONE
        for name in needs.files
    }
    return here | {SUMS: _sums()}


def differences(theirs: Papers, ours: Papers) -> list[str]:
    """What is not there as it is here, each with what should be and what to do."""
    found = []
    for name, wanted in ours.items():
        has = theirs.get(name, NONE)
        if has == wanted:
            continue
        if name == SUMS:
            found.append(
                "it works out other last digits (another kind of processor or C library); take workers of one kind, or "
                "set NPY_DISABLE_CPU_FEATURES alike everywhere"
            )
        elif name.startswith(FILE):
            what = f"{name} is not there" if has == NONE else f"{name} has another content"
            found.append(f"{what}; copy the scenario's folder to the same place")
        elif name.startswith(SOURCE):
            package = name.removeprefix(SOURCE)
            if theirs.get(package) == ours.get(package):  # else its version says it all
                found.append(
                    f"{package} is of the same version but another source; install it from the same place"
                )
        else:
            found.append(
                f"{name} {f'is {has}' if has else 'is missing'}, but should be {wanted}; install that version"
            )
    return found


def _paths(value: Any) -> Iterator[Path]:
    """Every path in settings."""
    if isinstance(value, Path):
        yield value
    elif isinstance(value, (list, tuple)):
        for inner in value:
            yield from _paths(inner)
    elif isinstance(value, Mapping):
        yield from _paths(tuple(value.values()))
    elif hasattr(type(value), "model_fields"):
        yield from _paths(vars(value))


@cache
def _source(module: str) -> str:
    """Digest of all that a module is made of."""
    places = places_of(module)
    return digest_of(places) if places else NONE


def _sums() -> str:
    """Digest of what functions of numpy, scipy and the C library give for many numbers, to the last bit."""
    some = np.linspace(1e-3, 1.0 - 1e-3, 4099)
    arrays = [
        *(of(some) for of in (np.exp, np.log, np.log1p, np.expm1, np.sin, np.cos, np.tan, np.tanh, np.sqrt)),
        some**0.37,
        np.power(10.0, some),
        np.array([some.sum(), some.std()]),
        *(of(some) for of in (special.ndtri, special.gammaln, special.erf)),
        special.gammaincinv(2.5, some),
        special.stdtrit(9.0, some),
    ]
    plain = [of(one) for one in some.tolist() for of in (math.exp, math.log, math.sin, math.tanh)]
    plain += [one**0.37 for one in some.tolist()]
    return hashlib.sha256(b"".join(one.tobytes() for one in [*arrays, np.array(plain)])).hexdigest()
