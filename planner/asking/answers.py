"""Answers as one frozen value, read from what was typed or from a file, and written into one.

In: plain values by question. Out: ``Answers``; an ``InputError`` or a ``ValueError`` in plain words. Must not know: who
is asked, what becomes of the answers.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from planner.asking.question import Before, Question
from planner.asking.questions import BY_KEY, QUESTIONS, first_of_next_month
from planner.asking.scale import Scale
from planner.asking.told import Told
from planner.asking.typed import in_words, symbol_of, value_of
from planner.scenario.complaints import Complaint, Subject, of_part, problem
from planner.scenario.compose import scalar
from planner.scenario.errors import InputError, Problem
from planner.scenario.mending import read_section
from planner.scenario.outline import fields_of
from planner.scenario.reading import disagreements
from planner.scenario.source import read
from planner.scenario.tree import Place, Tree
from planner.scenario.unseen import CONTROLS
from planner.scenario.wording import close

LEFT: Final = "usual"
"""Stands for an answer in a file where the question was left open: what is usual is taken."""
_PLAIN: Final = re.compile(r"-?[A-Za-z0-9][A-Za-z0-9 ./+_-]*")
_TIMES: Final = re.compile(r"\d\d:\d\d-\d\d:\d\d")


@dataclass(frozen=True)
class Answers:
    """Answers of one person.

    Parameters
    ----------
    folder : Path
        Of the scenario: files are named from there.
    today : date
        What is usual may hang on it.
    given : mapping of str to plain value
        By key of the question, quantities with their unit; ``LEFT`` where it was left open.
    """

    folder: Path
    today: date
    given: Mapping[str, Any] = field(default_factory=dict)

    @cached_property
    def yours(self) -> Mapping[str, Any]:
        """What was really answered."""
        return {key: value for key, value in self.given.items() if value != LEFT}

    @cached_property
    def told(self) -> Told:
        """Every answer, and what is usual where there is none."""
        return self._filled[0]

    @cached_property
    def scale(self) -> Scale:
        """Currency and units."""
        return _scale(_read(self.yours, self.folder))

    @property
    def start(self) -> date:
        """First day played."""
        return self.told.start or first_of_next_month(self.today)

    def written(self, key: str) -> Any:
        """The answer as it is written, or what is usual; None where nothing is."""
        return self._filled[1].get(key)

    def usual(self, question: Question) -> Any:
        """What is taken if nothing is answered, after the answers before the question."""
        return question.usual(self)

    def asked(self, question: Question) -> bool:
        """Does the question make sense after these answers?"""
        return question.when(self)

    @cached_property
    def _filled(self) -> tuple[Told, Mapping[str, Any]]:
        own = _read(self.yours, self.folder)
        filling = _Filling(own, self.scale)
        for question in QUESTIONS:
            if not question.when(filling):
                filling.put(question.key, None, None)
            elif question.key in self.yours:
                filling.written[question.key] = self.yours[question.key]
            elif (usual := question.usual(filling)) is not None:
                read_alone = _read({question.key: usual}, self.folder, self.scale.currency)
                filling.put(question.key, usual, getattr(read_alone, attribute_of(question.key)))
        return filling.told, filling.written

    def with_typed(self, question: Question, text: str) -> Answers:
        """These answers and one that was typed.

        An answer in another currency, or in other units, takes the amounts with it that were given before.

        Raises
        ------
        ValueError
            In plain words: what is wrong, what to write.
        """
        if CONTROLS.search(text):
            raise ValueError("an invisible control character stands in it; type the answer anew")
        value = value_of(question.key, text, self.scale)
        given = {**self.given, question.key: value}
        if question.key == "currency" and value != self.scale.currency:
            given = {key: one for key, one in given.items() if not symbol_of(key).startswith("money")}
        found = replace(self, given=given)
        _read(found.yours, self.folder)
        return found

    def left(self, question: Question) -> Answers:
        """These answers, and one question left open."""
        return replace(self, given={**self.given, question.key: LEFT})


class _Filling:
    """Answers to which what is usual is added, one question after the other."""

    def __init__(self, own: Told, scale: Scale) -> None:
        self.scale, self.written = scale, dict[str, Any]()
        self._values = {name: getattr(own, name) for name in type(own).model_fields}

    @property
    def told(self) -> Told:
        return Told.model_construct(**self._values)

    def put(self, key: str, written: Any, value: Any) -> None:
        self.written[key] = written
        self._values[attribute_of(key)] = value


def attribute_of(key: str) -> str:
    """The attribute of `Told` that is written under this key."""
    return next(name for name, one in Told.model_fields.items() if one.alias == key)


def _scale(own: Told) -> Scale:
    currency = own.currency or "EUR"
    at_par = Scale(currency)
    return Scale(currency, own.units == "lb", (own.euro_is or 1.0) if at_par.foreign else 1.0)


def _read(values: Mapping[str, Any], folder: Path, currency: str | None = None) -> Told:
    """Answers in internal units; ``ValueError`` with the first that is wrong, in the words of a scenario's loader."""
    tree = Tree(dict(values), values={(): Place("", 0, 0)})
    found, problems = _judged(tree, folder, currency)
    if problems:
        raise ValueError(problems[0].message)
    return found


def _judged(tree: Tree, folder: Path, currency: str | None = None) -> tuple[Told, list[Problem]]:
    code = currency or tree.value.get("currency")
    subject = Subject(tree, (), Told, code if isinstance(code, str) else "EUR")
    found = read_section(subject, {"currency": subject.currency, "folder": folder})
    problems = [told for _, told in found.told]
    problems += [problem(of_part(one.error, at, tree), tree) for at, one in disagreements(found.section)]
    section = found.section if isinstance(found.section, Told) else Told.model_validate({})
    return section, problems


def read_answers(path: Path, folder: Path, today: date) -> Answers:
    """Answers out of a file.

    Parameters
    ----------
    path : Path
        A mapping of keys to answers: with units, or bare numbers in the units of ``units``.
    folder : Path
        Of the scenario that they are for.
    today : date
        Today.

    Raises
    ------
    InputError
        With everything that is wrong in it.
    """
    tree = read(path)
    problems = list(tree.problems)
    known = fields_of(Told)
    left = [key for key, value in tree.value.items() if key in known and value == LEFT]
    order = {key: tree.value[key] for key in tree.value}
    for key in left:
        del tree.value[key]
    scale = _scale_of(tree, folder)
    for key, value in tree.value.items():
        meant = key if key in known else close(key, known)
        if meant:
            try:
                tree.value[key] = value_of(meant, value, scale)
            except ValueError as error:
                problems.append(problem(Complaint((key,), str(error)), tree))
    wrong = {one.path for one in problems}
    _, found = _judged(tree, folder)
    problems += [one for one in found if one.path not in wrong]
    if problems:
        raise InputError.of(problems)
    given = {key: LEFT if key in left else tree.value[key] for key in order}
    return Answers(folder, today, given)


def _scale_of(tree: Tree, folder: Path) -> Scale:
    """How the writer of a file counts, as far as it can be read."""
    told: dict[str, Any] = {}
    for key in ("currency", "units", "euro_is"):
        if key in tree.value:
            value = value_of(key, tree.value[key], Scale())
            try:
                _read({key: value}, folder)
            except ValueError:
                continue
            told[key] = value
    return _scale(_read(told, folder))


def plain_yaml(value: Any) -> str:
    """A plain value as a scenario or a file of answers holds it, on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {plain_yaml(one)}" for key, one in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(map(plain_yaml, value)) + "]"
    if isinstance(value, (int, float)):
        return in_words(value)
    text = str(value)
    plain = _TIMES.fullmatch(text) or (_PLAIN.fullmatch(text) and text == text.strip())
    return text if plain and isinstance(scalar(text), str) else json.dumps(text, ensure_ascii=False)


def answers_text(answers: Answers) -> str:
    """The answers given so far as a file, in the order of the questions."""
    return "".join(
        f"{line}\n"
        for line in (
            "# Answers to `planner new`, kept so that it can go on from here. Change them as you like;",
            f"# `{LEFT}` leaves a question open.",
            *(
                f"{key}: {plain_yaml(answers.given[key])}  # {BY_KEY[key].words}"
                for key in BY_KEY
                if key in answers.given
            ),
        )
    )


def form_text(answers: Answers) -> str:
    """A file of answers to fill in: every question, with what is usual."""
    return "".join(f"{line}\n" for line in _form(answers))


def _form(answers: Before) -> Iterator[str]:
    yield f"# Answers for `planner new FILE --answers THIS`. Delete what you leave open, or write `{LEFT}`."
    yield "# A number without unit is taken in the units that `units` says."
    for question in QUESTIONS:
        if question.heading:
            yield f"\n# {question.heading}"
        usual = question.usual(answers)
        yield f"# {question.words}"
        yield f"#   Changes: {question.changes}."
        if usual is None:
            yield f"# {question.key}:   # left open: {question.unknown}"
        else:
            yield f"# {question.key}: {plain_yaml(usual)}   # {question.source}"
