"""A scenario made out of another: one of its options as the business of today, and questions in the place of options.

In: a scenario, what is different today, what each question changes. Out: a ``Scenario`` that any player plays.
Must not know: what the questions are about.

All questions then meet the same worlds, and share what of a world does not differ between them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from planner.scenario import InputError, Problem, Scenario
from planner.scenario.header import AS_TODAY, EXPECTED, Option, Outlook
from planner.scenario.tree import Place, Tree
from planner.scenario.variants import Variants

Changes = Mapping[str, Any]
"""Paths and new values, as for the changes of an option."""

_TODAY: Final = "today"


def at_today(scenario: Scenario, option: str, outlook: str, changes: Changes, said: Mapping[str, str]) -> Any:
    """Every value of one option's business once some are others, as a file would hold it.

    Parameters
    ----------
    scenario : Scenario
        Loaded.
    option, outlook : str
        Whose business it is.
    changes : mapping
        What is different today.
    said : mapping of str to str
        By the beginning of a path, the option of the command line that set it: for what is wrong.

    Raises
    ------
    planner.scenario.InputError
        A name is not known, or a value is not possible.
    """
    scenario.business(option, outlook)
    values = scenario.variants.written(option, outlook)
    first = _scenario(scenario, values, {_TODAY: changes})
    try:
        first.business(_TODAY)
    except InputError as error:
        raise InputError.of(_retold(one, said) for one in error.problems) from None
    return first.variants.written(_TODAY, EXPECTED)


def asked_of(scenario: Scenario, values: Any, questions: Mapping[str, Changes]) -> Scenario:
    """These values as the business of today, and each question as an option of it.

    Raises
    ------
    planner.scenario.InputError
        They make no possible business.
    """
    return _scenario(scenario, values, questions)


def _scenario(scenario: Scenario, values: Any, questions: Mapping[str, Changes]) -> Scenario:
    place, old = Place(str(scenario.path), 0, 0), scenario.variants
    options = {name: {"changes": dict(changes)} for name, changes in questions.items()}
    tree = Tree({**values, "options": options}, {(): place}, {(): place})
    variants = Variants(tree, old.business_class, old.asked, old.currency, old.folder, old.doubt)
    if problems := variants.check_base():
        raise InputError.of(problems)
    return replace(
        scenario,
        options={name: Option.model_validate({}) for name in (AS_TODAY, *questions)},
        outlooks={EXPECTED: Outlook.model_validate({})},
        variants=variants,
    )


def _retold(one: Problem, said: Mapping[str, str]) -> Problem:
    """What is wrong with a value that the command line gave, told of the command line."""
    path = one.path.rpartition(": ")[2]
    for begin, option in said.items():
        if path.startswith(begin):
            return Problem("", 0, 0, option, one.message)
    return replace(one, path=path)
