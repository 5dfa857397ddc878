"""One business for each option and outlook, made out of one tree.

In: the scenario's tree. Out: validated businesses, or problems at the place of the change that causes
them. Relative changes read the base with every default written out.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path
from typing import Any, cast

from planner import interrupts
from planner.scenario.blocks import Blocks
from planner.scenario.changes import apply, operation_of, overridden
from planner.scenario.complaints import Complaint, Subject, problem
from planner.scenario.currencies import CODES
from planner.scenario.doubt import CERTAIN, Doubt
from planner.scenario.errors import InputError, Problem
from planner.scenario.header import AS_TODAY, EXPECTED, HEADER_KEYS, MOST_OPTIONS, MOST_OUTLOOKS, Header
from planner.scenario.inputs import Input
from planner.scenario.mending import read_section
from planner.scenario.reading import Reading, cut_spreads, read_business, tell_disagreements
from planner.scenario.registry import Asked
from planner.scenario.section import Section
from planner.scenario.tree import Place, Steps, Tree, dotted

Pair = tuple[str, str]


@dataclass(slots=True)
class Head:
    """The header of a file.

    Attributes
    ----------
    header : Header or None
        Where there are problems, with something valid in the place of what is wrong: for checking alone.
    problems : list of Problem
        What is wrong with it.
    tree : Tree
        The file, a misspelt key in the header taken for the one that is meant.
    currency : str or None
        The currency that the file names; None where that is none.
    """

    header: Header | None
    problems: list[Problem]
    tree: Tree
    currency: str | None


def read_header(tree: Tree, business_class: type[Section], doubt: Doubt = CERTAIN) -> Head:
    """Read the header of a file, and what is wrong with it."""
    own = {key: value for key, value in tree.value.items() if key in HEADER_KEYS}
    code = own.get("currency")
    currency = code if isinstance(code, str) and code in CODES else None  # one complaint about it is enough
    subject = Subject(replace(tree, value=own), (), Header, currency, whole=(Header, business_class))
    read = read_section(subject, {"currency": currency})
    reading = Reading(read.section, subject.tree, doubt)
    reading.take(read)
    if not doubt.incomplete:  # else what an outlook lacks may stand in the file that cannot be read
        tell_disagreements(reading)
    whole = replace(read.tree, value={**tree.value, **read.tree.value})
    return Head(cast("Header | None", read.section), [*reading.problems, *_reserved(tree)], whole, currency)


def _reserved(tree: Tree) -> Iterator[Problem]:
    for steps, what in (
        (("options", AS_TODAY), "the business without changes"),
        (("outlooks", EXPECTED), "what the file itself says"),
    ):
        here: Any = tree.value
        for step in steps:
            here = here.get(step) if isinstance(here, dict) else None
        for key in here if isinstance(here, dict) else ():
            if key != "summary" and (here[key] or (key, here[key]) == ("probability", 0)):
                words = f"'{steps[1]}' is {what}, so it has only a summary; give this another name"
                yield problem(Complaint((*steps, key), words, at_key=True), tree)


def _without_header(tree: Tree) -> Tree:
    """What a file says of the business alone: each option copies it, and many options make a long header."""
    keys, values = (
        {steps: place for steps, place in places.items() if not steps or steps[0] not in HEADER_KEYS}
        for places in (tree.keys, tree.values)
    )
    own = {key: value for key, value in tree.value.items() if key not in HEADER_KEYS}
    return replace(tree, value=own, keys=keys, values=values)


def _keys_of(business: Section) -> Iterator[tuple[str, str]]:
    """Attributes of a business, and the keys that users write for them."""
    for name, one in type(business).model_fields.items():
        yield name, one.alias or name


def _values_of(business: Section, context: dict[str, Any], keys: Collection[str] | None = None) -> Any:
    """Every value of a business as a file would hold it; or those below these keys at the top."""
    names = None if keys is None else {name for name, key in _keys_of(business) if key in keys}
    with interrupts.held():  # pydantic would make an error of its own of Ctrl-C
        return business.model_dump(mode="json", by_alias=True, context=context, include=names)


@dataclass
class Variants:
    """All businesses of one scenario; each is made once.

    Attributes
    ----------
    tree : Tree
        The scenario's file.
    doubt : Doubt
        What of it cannot be judged, since something is wrong; nothing of a scenario that is played.
    skipped : dict
        By option and outlook, changes of the outlook that have nothing to work on under the option.
    untaken : Tree or None
        Where an option is taken already, the business before any was: what is gone since is missed by no outlook.
    """

    tree: Tree
    business_class: type[Section]
    asked: Asked
    currency: str | None
    folder: Path
    doubt: Doubt = CERTAIN
    skipped: dict[Pair, tuple[str, ...]] = field(default_factory=dict)
    untaken: Tree | None = None
    _sound: bool = True
    _made: dict[Pair, Section] = field(default_factory=dict)
    _written: dict[Pair, Tree] = field(default_factory=dict)

    def __getstate__(self) -> dict[str, Any]:
        """Carry the base alone to other processes; the rest is made again in a few milliseconds each."""
        base = (AS_TODAY, EXPECTED)
        made = {pair: business for pair, business in self._made.items() if pair == base}
        written = {pair: tree for pair, tree in self._written.items() if pair == base}
        return {**self.__dict__, "_made": made, "_written": written, "skipped": {}}

    @property
    def _context(self) -> dict[str, Any]:
        return {"currency": self.currency, "folder": self.folder}

    @property
    def _blocks(self) -> Blocks:
        return Blocks(self.business_class, self.asked)

    @property
    def as_written(self) -> Any:
        """Every value of the business as the file says it; None where something is wrong with it."""
        base = (AS_TODAY, EXPECTED)
        return self._written[base].value if self._sound and base in self._written else None

    def _read(
        self,
        tree: Tree,
        header_class: type[Section] | None = None,
        doubt: Doubt | None = None,
        read_before: Mapping[str, Any] | None = None,
    ) -> Reading:
        doubt = self.doubt if doubt is None else doubt
        return read_business(
            tree, self.business_class, self.asked, self._context, header_class, doubt, read_before
        )

    def _unchanged(self, base: Pair, touched: Collection[str]) -> Mapping[str, Any]:
        """The sections of a business, by their keys, but those that a change touches."""
        if not self._sound or base not in self._made:
            return {}
        values = {key: getattr(self._made[base], name) for name, key in _keys_of(self._made[base])}
        return {
            key: value
            for key, value in values.items()
            if key not in touched
            and all(isinstance(part, Section) for part in (value if isinstance(value, tuple) else [value]))
        }

    @property
    def pairs(self) -> tuple[Pair, ...]:
        """The business as the file says it, and what every option alone and every outlook alone makes of it."""
        return tuple(self._made)

    def check_base(self) -> list[Problem]:
        """Read the business as the file says it; its problems."""
        reading = self._read(_without_header(self.tree), Header)
        self.doubt, self._sound = reading.doubt, not reading.problems
        if reading.business is not None:
            self._keep((AS_TODAY, EXPECTED), reading.business, reading.tree)
        return reading.problems

    def _keep(self, pair: Pair, business: Section, tree: Tree, read_before: Collection[str] = ()) -> None:
        """Keep a business; what was read before stands written out in the tree already."""
        anew = [key for _, key in _keys_of(business) if key not in read_before]
        written = _values_of(business, self._context, anew)
        self._made[pair] = business
        self._written[pair] = Tree(
            {key: written.get(key, tree.value.get(key)) for _, key in _keys_of(business)},
            tree.keys,
            tree.values,
        )

    def at(self, inputs: Sequence[Input], file: Path) -> Variants:
        """The same options and outlooks of a business in which some values are others.

        Raises
        ------
        InputError
            A path leads nowhere, or the values make no possible business.
        """
        place, base = Place(str(file), 0, 0), (AS_TODAY, EXPECTED)
        source = Tree({"inputs": {one.path: one.change for one in inputs}}, {(): place}, {(): place})
        changed = apply(
            self._written[base],
            source,
            ("inputs",),
            self.currency,
            closed=HEADER_KEYS,
            doubt=self.doubt,
            blocks=self._blocks,
            always=True,
            closed_to="--set changes the business alone; write it in the file",
        )
        unchanged = self._unchanged(base, changed.touched)
        reading = self._read(changed.tree, read_before=unchanged)
        found = [Problem(place.file, 0, 0, dotted(steps[1:]), words) for steps, words in changed.wrong]
        if found or reading.problems or reading.business is None:
            raise InputError.of([*found, *reading.problems])
        return self._from(reading.business, changed.tree, unchanged)

    def after(self, option: str) -> Variants:
        """The same options and outlooks of a business in which one of the options is taken.

        Raises
        ------
        InputError
            It makes no possible business.
        """
        business = self.business(option, EXPECTED)
        other = self._from(business, self._written[option, EXPECTED])
        other.untaken = self._written[AS_TODAY, EXPECTED] if self.untaken is None else self.untaken
        return other

    def _from(self, business: Section, tree: Tree, read_before: Collection[str] = ()) -> Variants:
        """The same options and outlooks of another business."""
        other = replace(self, _made={}, _written={}, skipped={})
        other._keep((AS_TODAY, EXPECTED), business, tree, read_before)
        return other

    def set_anew(self, option: str, earlier: str) -> tuple[str, ...]:
        """What an option sets to a value of its own that another changes too."""
        later, before = (self.tree.value["options"].get(name) or {} for name in (option, earlier))
        return overridden(
            self.sets(later.get("changes") or {}, (option, EXPECTED)), before.get("changes") or {}
        )

    def sets(self, changes: Mapping[str, Any], pair: Pair) -> tuple[str, ...]:
        """Paths at which changes of an option and an outlook put a value of its own, whatever stood there."""
        with suppress(InputError):  # no such business to look into: what looks like an operation is one
            self.business(*pair)
        tree = self._written.get(pair)
        changed, blocks = (None, None) if tree is None else (tree.value, self._blocks)
        return tuple(
            path for path, value in changes.items() if operation_of(value, path, changed, blocks) is None
        )

    def check_options(self) -> list[Problem]:
        """Make every option alone and every outlook alone; their problems."""
        found: list[Problem] = []
        for kind, of, most in (("options", AS_TODAY, MOST_OPTIONS), ("outlooks", EXPECTED, MOST_OUTLOOKS)):
            bodies = self.tree.value.get(kind)
            for name, body in islice(bodies.items() if isinstance(bodies, dict) else (), most):
                changes = body.get("changes", {}) if isinstance(body, dict) else None
                if not isinstance(changes, dict) or (name == of and not changes):
                    continue
                pair = (name, EXPECTED) if kind == "options" else (AS_TODAY, name)
                if name == of:
                    pair = (name, name)  # no business; what it changes is looked at all the same
                found += self._make(pair, (AS_TODAY, EXPECTED), (kind, name, "changes"))
        return found

    def _make(self, pair: Pair, base: Pair, where: Steps) -> list[Problem]:
        """Make one business by changing another; its problems."""
        if base not in self._written:
            return []
        first = (AS_TODAY, EXPECTED)
        as_written = self._written[first].value if base != first else None
        if self.untaken is not None and where[0] == "outlooks":
            as_written = self.untaken.value
        doubt = replace(self.doubt, everything=self.doubt.incomplete)
        changed = apply(
            self._written[base], self.tree, where, self.currency, as_written, HEADER_KEYS, doubt, self._blocks
        )
        self.skipped[pair] = tuple(changed.skipped)
        found = [problem(Complaint(steps, words), self.tree) for steps, words in changed.wrong]
        unchanged = self._unchanged(base, changed.touched)
        reading = self._read(changed.tree, doubt=doubt.changed(changed.anew), read_before=unchanged)
        if self._sound and reading.business is not None and not found and not reading.problems:
            self._keep(pair, reading.business, changed.tree, unchanged)
        label = ".".join(map(str, where[:2]))
        seen: set[Place] = set()
        for one in reading.problems:
            place = Place(one.file, one.line, one.column)
            if place not in seen:
                found.append(replace(one, path=f"{label}: {one.path}"))
            if place in changed.moved:
                seen.add(place)
        return found

    def business(self, option: str, outlook: str) -> Section:
        """The business under one option and one outlook; made at the first call."""
        pair = (option, outlook)
        if pair not in self._made:
            base, where = ((option, EXPECTED), ("outlooks", outlook, "changes"))
            if outlook == EXPECTED:
                base, where = ((AS_TODAY, EXPECTED), ("options", option, "changes"))
            self.business(*base)
            if found := self._make(pair, base, where):
                words = f"option '{option}' under outlook '{outlook}'"
                raise InputError.of(
                    Problem(one.file, one.line, one.column, f"{words}: {one.path}", one.message)
                    for one in found
                )
        return self._made[pair]

    def place(self, option: str, outlook: str, steps: Steps) -> Place:
        """Where the value at a path of one business is written: in its base, or in the change that set it."""
        self.business(option, outlook)
        return self._written[option, outlook].place(steps)

    def written(self, option: str, outlook: str, *, digest: bool = False) -> Any:
        """Every value of one business as a file would hold it; data files by their content for a digest."""
        context = {**self._context, "digest": digest}
        return _values_of(self.business(option, outlook), context)

    def warnings(self, header: Header) -> Iterator[Problem]:
        """What is allowed but deserves a look: spreads that are cut, options that do the same."""
        seen: set[tuple[Any, ...]] = set()
        for pair, business in self._made.items():
            tree = self._written[pair]
            for complaint in cut_spreads(business, self.currency):
                one = problem(complaint, tree)
                if (key := (one.file, one.line, one.column, one.message)) not in seen:
                    seen.add(key)
                    yield one
        alike: dict[str, str] = {}
        for name, option in header.options.items():
            if name == AS_TODAY or (name, EXPECTED) not in self._made:
                continue
            text = f"{option.start_up_cost} {option.resale} {self._written[name, EXPECTED].value}"
            if text in alike:
                words = f"this option does the same as '{alike[text]}'; they will not differ in any result"
                yield problem(Complaint(("options", name), words, at_key=True), self.tree)
            alike.setdefault(text, name)
