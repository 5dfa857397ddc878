"""Scenarios changed at random: what stands in a file, and the file itself."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from planner.scenario.header import AS_TODAY, EXPECTED
from planner.scenario.tree import Steps, at
from planner.study import load

ROOT = Path(__file__).resolve().parents[2]
BASES = (
    "tests/study/garden.yaml",
    "scenarios/example.yaml",
    "tests/study/market.yaml",
    "plugins/adverts/adverts.yaml",
)

DEEP: Any = "5 kg"
for _ in range(30):
    DEEP = {"mean": [DEEP]}
ODD: list[Any] = [
    None, True, False, 0, 1, -1, 0.5, 1e-9, 10**17, 10**18, -(10**17), 0.1 + 0.2, 1.7976931348623157e308, "",
    " ", "none", "0 kg", "-0 kg", "5 kg", "1e308 kg", "9" * 400, "0." + "0" * 400 + "1",
    "999999999999999999 kg", "0.000001 m", ".nan", "nan kg", "inf", "5 %", "5%", "1,5 kg", "5 EUR", "5 EUR/kg",
    "5 kg/EUR", "5 kg kg", "5 kg**99", "5 kg^-99999", "3 h", "1 s", "0 days", "100000 days", "1000 years",
    "18:00-21:00", "24:00-24:00", "21:00-18:00", "00:00-24:00", "2026-02-30", "0001-01-01", "9999-12-31",
    "2026-01-01 to 2025-01-01", "2026-01-01 none", "core.shops", "core.none", "../../../etc/passwd",
    "/dev/zero", "http://x/y", "pvlib:../x", "\u202e", "\x00", "\ud800", "e\u0301", "\u00a0", "１２ kg", "٣ kg",
    "𝟗 kg", "x" * 3000, "a.b.c", "*", "..", "%s%s%n", "{{7*7}}", [], {}, [[]], [None], {"": None}, {"a": {}},
    {"times": 0}, {"times": 1e9}, {"plus": "5 kg"}, {"append": {}}, {"remove": "a"}, ["sat", "sat"], [1, "1"],
    {"normal": {"mean": "0 kg", "sd": "0 kg"}}, {"normal": {"mean": "5 kg", "sd": "1000000 kg"}},
    {"lognormal": {"mean": "5 kg", "sd": "99999999 kg"}}, {"gamma": {"mean": "5 days", "sd": "0 days"}},
    {"uniform": {"low": "5 kg", "high": "5 kg"}}, {"triangular": {"low": 1, "mode": 0, "high": 2}},
    {"choice": {"values": ["5 kg"], "weights": [0]}}, {"exponential": {"mean": "0 days"}}, DEEP,
]  # fmt: skip
FACTORS = [0.0, -1.0, 1e-6, 0.01, 0.5, 2.0, 100.0, 1e6, 1e15]
SIGNS = "\t\n\r :-#&*!|>'\"%@`{}[],?<=+.0e\\\u2028\u202e\ufeff\x00é€𝟗"


@cache
def whole(name: str) -> dict[str, Any]:
    """Every value of a scenario's business, its defaults written out; and a few options and outlooks."""
    scenario = load(ROOT / name)
    tree = {
        "title": scenario.title, "currency": scenario.currency, **scenario.variants.written(AS_TODAY, EXPECTED),
        "options": {"x": {"start_up_cost": "5 EUR", "changes": {"melting.lid": True, "owner.hour_price": {"times": 2}}}
        },
        "outlooks": {"y": {"summary": "s", "changes": {"calendar.days": 40}}},
        "estimates": {"e": {"path": "owner.hour_price", "sd": 0.1, "with": {}}},
        "ranges": {"r": "owner.hour_price=4 EUR/h..14 EUR/h"},
        "study": {"seed": 3, "replicates": 4},
    }  # fmt: skip
    return {key: value for key, value in tree.items() if value is not None}


def paths(tree: Any, steps: Steps = ()) -> Iterator[Steps]:
    """The path of every value."""
    parts = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for step, part in parts:
        yield (*steps, step)
        yield from paths(part, (*steps, step))


@st.composite
def trees(draw: Any, mildly: bool = False) -> dict[str, Any]:
    """A scenario with some of its values, keys and blocks changed; mildly: only numbers made smaller or larger."""
    tree = copy.deepcopy(whole(draw(st.sampled_from(BASES[:1] if mildly else BASES))))
    for _ in range(draw(st.integers(1, 4))):
        where = draw(st.sampled_from(sorted(paths(tree), key=str)))
        above, step = at(tree, where[:-1]), where[-1]
        how = (
            "scale"
            if mildly
            else draw(st.sampled_from(["odd", "odd", "scale", "delete", "swap", "copy", "rename"]))
        )
        if how == "odd":
            above[step] = copy.deepcopy(draw(st.sampled_from(ODD)))
        elif how == "scale":
            above[step] = scaled(above[step], draw(st.sampled_from(FACTORS)))
        elif how == "delete":
            del above[step]
        elif how == "rename" and isinstance(step, str):
            above[draw(st.sampled_from(["x", step[:-1], step.upper(), "name", "model", "settings"]))] = (
                above.pop(step)
            )
        else:
            other = draw(st.sampled_from(sorted(paths(tree), key=str)))
            there = at(tree, other[:-1])
            value = copy.deepcopy(there[other[-1]])
            if how == "swap" and where[: len(other)] != other and other[: len(where)] != where:
                there[other[-1]] = above[step]
            above[step] = value
    return tree


def scaled(value: Any, factor: float) -> Any:
    """A written value made so much larger; what is no amount is left."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return int(value * factor)
    if isinstance(value, float):
        return value * factor
    if isinstance(value, str):
        number, _, unit = value.partition(" ")
        try:
            return f"{float(number) * factor:.12f} {unit}".strip()
        except ValueError:
            return value
    if isinstance(value, list):
        return [scaled(part, factor) for part in value]
    return {key: scaled(part, factor) for key, part in value.items()} if isinstance(value, dict) else value


def written(tree: dict[str, Any]) -> str:
    """The text of a file; JSON is YAML as well."""
    return "".join(f"{json.dumps(key)}: {json.dumps(value)}\n" for key, value in tree.items())


@cache
def sources() -> tuple[str, ...]:
    """Texts of scenarios, good and bad."""
    bad = sorted((ROOT / "tests" / "scenario" / "bad").glob("*.yaml"))
    good = [ROOT / name for name in BASES]
    return tuple(path.read_text(encoding="utf-8", errors="replace")[:4000] for path in [*good, *bad])


@st.composite
def texts(draw: Any) -> str:
    """A file with lines and letters taken out, put in, doubled, exchanged."""
    lines = draw(st.sampled_from(sources())).split("\n")
    for _ in range(draw(st.integers(1, 5))):
        n, m = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
        how = draw(st.sampled_from(["cut", "put", "put", "double", "exchange", "indent", "break", "join"]))
        k = draw(st.integers(0, max(0, len(lines[n]))))
        if how == "cut":
            lines[n] = lines[n][:k] + lines[n][k + 1 :]
        elif how == "put":
            lines[n] = (
                lines[n][:k] + draw(st.text(st.sampled_from(SIGNS), min_size=1, max_size=3)) + lines[n][k:]
            )
        elif how == "double":
            lines.insert(m, lines[n])
        elif how == "exchange":
            lines[n], lines[m] = lines[m], lines[n]
        elif how == "indent":
            lines[n] = draw(st.sampled_from([" ", "  ", "\t", "- "])) + lines[n]
        elif how == "break":
            lines[n : n + 1] = [lines[n][:k], lines[n][k:]]
        elif n + 1 < len(lines):
            lines[n : n + 2] = [lines[n] + lines[n + 1]]
    return "\n".join(lines)
