"""A fit as a scenario file that extends the one it was made from.

In: a ``Fit``. Out: the text of the file. Must not know: where it is put.

Only what changed is written, each value below a comment that says what it was, how sure it is and what told it; and the
block ``estimates``, from which every world draws them. Lists (shops, buyers) have to be written as a whole.
"""

from __future__ import annotations

import copy
import io
from collections.abc import Iterator, Mapping, Sequence
from math import exp, log
from typing import Any, Final

import numpy as np

from planner.fit.changed import DIGITS, changed, values_of, wholes
from planner.fit.estimate import MOST_MORE, Block, Estimate, FloatArray
from planner.fit.fitting import Fit
from planner.fit.standing import tree_of
from planner.scenario.changes import find
from planner.scenario.inputs import FACTORS
from planner.scenario.unseen import visible

LONGEST_TITLE: Final = 120
TITLE: Final = ", by own records"
FARTHEST_SD: Final = 3.0
"""Draws are cut at so many standard deviations."""
MOST_SHARE: Final = 0.99
"""No draw makes a share of more."""
LEAST_CORRELATION: Final = 0.05
"""Weaker ones are left out (assumed)."""
_CHOICES: Final = ("weather", "rates", "pricing")
_SHRINK: Final = 0.97


def written(fit: Fit, base: str) -> str:
    """The text of the scenario.

    Parameters
    ----------
    fit : Fit
        What was told.
    base : str
        Name of the file that it extends, as seen from where it will lie.
    """
    from ruamel.yaml import YAML
    from ruamel.yaml.comments import CommentedMap

    scenario = fit.scenario
    values = changed(scenario, fit.estimates)
    said = _comments(fit)
    file = CommentedMap()
    file["extends"] = base
    file["title"] = scenario.title[: LONGEST_TITLE - len(TITLE)].removesuffix(TITLE) + TITLE
    raw: dict[str, Any] = {}
    for path, value in wholes(scenario, values).items():
        _put(raw, scenario.variants.tree.value, tree_of(scenario), path, value)
    comments = {_steps(raw, path): lines for path, lines in said.items()}
    for key, value in raw.items():
        file[key] = _commented(value, (key,), comments, 2)
    _say(file, (), comments, 0)
    if fit.estimates:
        file["estimates"] = _commented(dict(estimates_of(fit)), ("estimates",), {}, 2)
        file.yaml_set_comment_before_after_key(
            "estimates", before="\nHow sure they are: every world draws them anew, together."
        )
    file.yaml_set_start_comment("\n".join(_head(fit, base)))
    yaml = YAML()
    yaml.width = 4096
    yaml.indent(mapping=2, sequence=4, offset=2)
    text = io.StringIO()
    yaml.dump(file, text)
    return text.getvalue()


def _head(fit: Fit, base: str) -> Iterator[str]:
    rows = ", ".join(f"{name} {count}" for name, count in fit.rows.items() if count)
    yield visible(f"What own records say of {base}; written by planner fit.")
    if fit.days is not None:
        yield f"Records from {fit.days[0]} to {fit.days[1]}; rows: {rows}."
    yield "Above each value that changed: between which it lies nine times in ten, what told it, and what it was."
    yield "What records tell only weakly stays near what was thought before."


def amount(value: float, unit: str) -> str:
    """A number with the digits that count, and its unit."""
    text = np.format_float_positional(value, precision=DIGITS - 1, unique=False, fractional=False, trim="-")
    return f"{text} {unit}".strip()


def comment_of(one: Estimate) -> str:
    """What stands above a value."""
    low, high = one.interval
    told = f"{one.name}: {amount(one.value, one.unit)} ({amount(low, '')} to {amount(high, '')} nine times in ten)"
    told += f", {one.records} in {one.table}, {one.method}; was {amount(one.before, one.unit)}"
    if one.is_weak and one.more is not None:
        enough = one.more <= MOST_MORE
        told += (
            f"; weak: about {one.more} more would tell" if enough else f"; weak: {one.table} hardly tells it"
        )
    return visible(f"{told}; {one.note}" if one.note else told)


def _comments(fit: Fit) -> dict[str, list[str]]:
    """What is said above what is written as a whole."""
    tree, currency = tree_of(fit.scenario), fit.scenario.currency
    found: dict[str, list[str]] = {}
    for one in fit.estimates:
        places = list(wholes(fit.scenario, values_of(one, tree, currency)))
        for place in places[:1]:
            found.setdefault(place, []).append(comment_of(one))
    return found


def _put(raw: dict[str, Any], file: Any, tree: Any, path: str, value: Any) -> None:
    """Put a value into what is written; a list on the way is taken over from the file as a whole."""
    here: Any = raw
    words = path.split(".")
    for number, word in enumerate(words[:-1]):
        above = ".".join(words[: number + 1])
        if isinstance(here, list):
            here = here[_position(here, word)]
            continue
        if word not in here:
            standing = _standing(file, above)
            if isinstance(standing, list):
                here[word] = copy.deepcopy(standing)
            else:
                here[word] = {}
                if above in _CHOICES:
                    here[word]["model"] = find(tree, f"{above}.model")[1]
        elif not isinstance(here[word], (dict, list)):
            here[word] = {}
        here = here[word]
    here[words[-1]] = value


def _standing(file: Any, path: str) -> Any:
    try:
        return find(file, path)[1]
    except ValueError:
        return None


def _position(entries: Sequence[Any], word: str) -> int:
    names = [entry.get("name") for entry in entries]
    return names.index(word) if word in names else int(word) - 1


def _steps(raw: Any, path: str) -> tuple[str | int, ...]:
    return find(raw, path)[0]


def _commented(
    value: Any, at: tuple[str | int, ...], comments: Mapping[tuple[str | int, ...], list[str]], indent: int
) -> Any:
    """The same for ruamel.yaml: short blocks on one line, comments above what changed."""
    from ruamel.yaml.comments import CommentedMap, CommentedSeq

    if isinstance(value, Mapping):
        below = CommentedMap(
            (key, _commented(part, (*at, key), comments, indent + 2)) for key, part in value.items()
        )
        _say(below, at, comments, indent)
        if _is_short(value) and not any(place[: len(at)] == at and place != at for place in comments):
            below.fa.set_flow_style()
        return below
    if isinstance(value, list):
        rows = CommentedSeq(
            _commented(part, (*at, number), comments, indent + 2) for number, part in enumerate(value)
        )
        if not any(isinstance(part, Mapping) for part in value):
            rows.fa.set_flow_style()
        return rows
    return value


def _say(
    below: Any, at: tuple[str | int, ...], comments: Mapping[tuple[str | int, ...], list[str]], indent: int
) -> None:
    for key in below:
        lines = comments.get((*at, key))
        if lines:
            below.yaml_set_comment_before_after_key(key, before="\n".join(lines), indent=indent)


def _is_short(value: Mapping[str, Any]) -> bool:
    """Is it a spread, or a few plain values?"""
    return not any(
        isinstance(part, list)
        or (isinstance(part, Mapping) and any(isinstance(x, (Mapping, list)) for x in part.values()))
        for part in value.values()
    )


def estimates_of(fit: Fit) -> Iterator[tuple[str, dict[str, Any]]]:
    """The block ``estimates``: how sure each value is, as a file holds it."""
    for block in fit.blocks:
        hangs = _correlations(block)
        for i, one in enumerate(block.estimates):
            found: dict[str, Any] = {"path": one.path, "way": one.way}
            sd = float(np.format_float_positional(one.sd, precision=3, unique=False, fractional=False))
            found["sd"] = amount(sd, one.unit) if one.way == "plus" and one.unit else sd
            if one.way in FACTORS:
                found["within"] = _within(one)
            found |= {"records": one.records, "method": one.method}
            together = {
                other.name: float(hangs[i, j])
                for j, other in enumerate(block.estimates)
                if j > i and hangs[i, j]
            }
            if together:
                found["with"] = together
            yield one.name, found


def _within(one: Estimate) -> str:
    low, high = exp(-FARTHEST_SD * one.sd), exp(FARTHEST_SD * one.sd)
    if one.way == "times" and one.path.endswith("_share") and 0.0 < one.value < MOST_SHARE:
        high = min(high, exp(log(MOST_SHARE / one.value)))
    return f"{max(low, 1e-3):.4g}..{max(high, 1.001):.4g}"


def _correlations(block: Block) -> FloatArray:
    """Correlations as they are written: with two decimals, and still those of a joint distribution."""
    found = np.where(np.abs(block.correlation) < LEAST_CORRELATION, 0.0, block.correlation)
    size = found.shape[0]
    for _ in range(100):
        rounded = np.array([[round(float(x), 2) for x in row] for row in found])
        np.fill_diagonal(rounded, 1.0)
        if size < 2 or float(np.linalg.eigvalsh(rounded)[0]) > 1e-3:
            return rounded
        found = found * _SHRINK
    return np.eye(size)
