"""Whatever stands in a file, it is a scenario or a list of told mistakes: never another exception."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path
from typing import Any

from hypothesis import example, given
from hypothesis import strategies as st

from planner.scenario import InputError, Problem
from tests.scenario.stand_in import HEAD, MELTING, load_text

WORDS = [
    "melting", "power", "pot", "diameter", "owner", "hours", "holidays", "season", "moulds", "costs", "name", "amount",
    "demand", "weather", "model", "settings", "people", "pays", "options", "outlooks", "changes", "times", "plus",
    "append", "remove", "normal", "mean", "sd", "choice", "values", "weights", "mon", "jan", "study", "extends",
    "melting.pot.diameter", "demand.a.settings.people", "costs", "weather.model", "bucket", "file", "probability",
]  # fmt: skip
VALUES = [
    "5 kg", "9 kW", "40 cm", "2 EUR/kg", "18:00-21:00", "none", "core.people", "core.still", "a", "5%", "",
    "2026-01-05", "2 per month", "5 degC", "no",
]  # fmt: skip
PLAIN = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-5, 10**6),
    st.floats(-10, 10).map(lambda number: round(number, 3)),
    st.sampled_from(VALUES),
    st.text(alphabet=st.characters(codec="ascii"), max_size=8),
)
TREES = st.recursive(
    PLAIN,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(WORDS), inner, max_size=4),
    max_leaves=12,
)
TOP = [
    "owner", "mix", "bucket", "season", "moulds", "costs", "demand", "weather", "options", "outlooks", "study",
    "summary",
]  # fmt: skip
CHANGES = st.dictionaries(st.sampled_from(WORDS), TREES, max_size=3)


def load_tree(tree: dict[str, Any]) -> None:
    # JSON is YAML as well
    text = "".join(f"{key}: {json.dumps(value)}\n" for key, value in tree.items())
    told: tuple[Problem, ...] = ()
    with tempfile.TemporaryDirectory() as folder:
        try:
            scenario = load_text(Path(folder), text, head=HEAD + MELTING)
            for option in scenario.options:
                for outlook in scenario.outlooks:
                    scenario.business(option, outlook)
            return
        except InputError as error:
            told = error.problems
    assert told
    # nothing of what the checking library says to programmers
    assert [
        one for one in told if not one.message or "Input should" in one.message or "pydantic" in one.message
    ] == []
    # and no mistake twice, as what an option or an outlook took over
    assert len({(one.file, one.line, one.column, one.message) for one in told}) == len(told)


@given(st.dictionaries(st.sampled_from(TOP), TREES, max_size=4))
@example({"weather": "core.still", "demand": {"a": 1}})
def test_any_tree_is_taken_or_told(tree: dict[str, Any]) -> None:
    load_tree(tree)


@given(CHANGES, CHANGES)
@example({}, {"melting": {"remove": {}}})
def test_any_change_is_taken_or_told(option: dict[str, Any], outlook: dict[str, Any]) -> None:
    load_tree(
        {
            "demand": [{"name": "a", "model": "core.people", "settings": {"people": 5}}],
            "costs": [{"name": "a", "amount": "5 EUR"}],
            "options": {"x": {"changes": option}},
            "outlooks": {"y": {"changes": outlook}},
        }
    )
