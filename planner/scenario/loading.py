"""A scenario file loaded: every value checked, every option and outlook applied once.

In: the path of a file, and a registry that knows the settings of models. Out: a frozen `Scenario`, or an
`InputError` with every problem found. Draws nothing, plays nothing, knows no model.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from planner.scenario.axis import Axis
from planner.scenario.doubt import Doubt
from planner.scenario.errors import InputError, Problem
from planner.scenario.estimates import NONE, Estimates, read_estimates
from planner.scenario.extends import read_whole, taken_over
from planner.scenario.header import AS_TODAY, EXPECTED, HEADER_KEYS, Option, Outlook, Study, probabilities
from planner.scenario.inputs import Given, Input, Taken
from planner.scenario.one_currency import in_one_currency
from planner.scenario.outline import business_model, fields_of
from planner.scenario.ranges import read_ranges
from planner.scenario.registry import Asked, Registry, UnknownModel
from planner.scenario.section import Section
from planner.scenario.tree import Steps
from planner.scenario.variants import Variants, read_header
from planner.scenario.wording import listed, nearest, shown

if TYPE_CHECKING:
    from planner.scenario.business import Business

__all__ = ["Registry", "Scenario", "UnknownModel", "load"]


@dataclass(frozen=True)
class Scenario:
    """A scenario file, validated.

    Attributes
    ----------
    title, summary, currency, units : str
        As the file says; units are "metric" or "us", for reports only.
    path : Path
        The file, resolved.
    files : tuple of Path
        It and the files it extends.
    study : Study
        Seed, replicates, confidence, and what difference is worth caring about.
    options, outlooks : dict
        By name; "as today" and "expected" come first.
    ranges : dict
        By name: what might as well be otherwise. No run knows of them.
    warnings : tuple of Problem
        What is allowed but deserves a look.
    estimates : Estimates
        Values that every world draws anew.
    given : tuple of Given
        What was set or taken since it was loaded; estimates lie below it.
    loaded : Scenario or None
        As it was loaded, where something was set or taken since, and there are estimates.
    """

    title: str
    summary: str
    currency: str
    units: str
    path: Path
    files: tuple[Path, ...]
    study: Study
    options: dict[str, Option]
    outlooks: dict[str, Outlook]
    ranges: dict[str, Axis]
    warnings: tuple[Problem, ...]
    variants: Variants = field(repr=False, compare=False)
    estimates: Estimates = NONE
    given: tuple[Given, ...] = ()
    loaded: Scenario | None = field(default=None, repr=False, compare=False)

    def business(self, option: str = AS_TODAY, outlook: str = EXPECTED) -> Business:
        """The business under one option and one outlook.

        Raises
        ------
        InputError
            Where a name is not known, or the two together make no possible business.
        """
        self._check(option, self.options, "option")
        self._check(outlook, self.outlooks, "outlook")
        return cast("Business", self.variants.business(option, outlook))

    def at(self, inputs: Sequence[Given]) -> Scenario:
        """The scenario with some values set to others, or some options taken, before any option or outlook is applied.

        Of several, each works on what those before it made. What a taken option costs, and what its gear still
        brings, is part of every option's from then on, "as today" too.

        Raises
        ------
        InputError
            A path leads nowhere, an option is not known, or what is asked for makes no possible business.
        """
        found, values = self, list[Input]()
        for one in inputs:
            if isinstance(one, Input):
                values.append(one)
            else:
                found, values = found._with(values)._after(one.option), []
        return found._with(values)

    def drawn(self, inputs: Sequence[Input]) -> Scenario:
        """The scenario in a world in which estimates came out as these values: below all that was set or taken since.

        Raises
        ------
        InputError
            What is drawn makes no possible business.
        """
        found = (self.loaded or self).at((*inputs, *self.given))
        return replace(
            found, options={name: found.options[name] for name in self.options}, outlooks=self.outlooks
        )

    @property
    def certain(self) -> Scenario:
        """The same with every estimate taken for known: all worlds have what stands in the file."""
        return replace(self, estimates=NONE)

    def _since(self, given: Sequence[Given]) -> dict[str, Any]:
        """What is remembered of values that are set and options that are taken."""
        if not self.estimates:
            return {}
        return {"given": (*self.given, *given), "loaded": self.loaded or self}

    def _with(self, values: Sequence[Input]) -> Scenario:
        if not values:
            return self
        return replace(self, variants=self.variants.at(values, self.path), **self._since(values))

    def _after(self, option: str) -> Scenario:
        self._check(option, self.options, "option")
        taken, before = self.options[option], self.options[AS_TODAY]
        cost, resale = taken.start_up_cost - before.start_up_cost, taken.resale - before.resale
        options = {
            name: one.model_copy(
                update={"start_up_cost": one.start_up_cost + cost, "resale": one.resale + resale}
            )
            for name, one in self.options.items()
        }
        return replace(
            self, options=options, variants=self.variants.after(option), **self._since([Taken(option)])
        )

    def taking(self, option: str) -> Scenario:
        """The business as it is once an option is taken, with no other option or outlook.

        Values that are set to others with `at` are then set after the option's own changes.

        Raises
        ------
        InputError
            There is no such option.
        """
        self._check(option, self.options, "option")
        return replace(
            self,
            options={AS_TODAY: self.options[option]},
            outlooks={EXPECTED: self.outlooks[EXPECTED]},
            variants=self.variants.after(option),
            **self._since([Taken(option)]),
        )

    @property
    def probabilities(self) -> dict[str, float] | None:
        """How likely each outlook is; they sum to 1. None where nobody dares to say."""
        return probabilities(self.outlooks)

    def where(self, option: str, outlook: str, steps: Steps) -> str:
        """File and line of the value at a path of one business, such as ``my.yaml:12``."""
        place = self.variants.place(option, outlook, steps)
        return f"{place.file}:{place.line}" if place.line else place.file

    @property
    def models(self) -> frozenset[str]:
        """Every model that is named anywhere in it, such as ``core.shops``."""
        return self.variants.asked.models

    def skipped(self, option: str, outlook: str) -> tuple[str, ...]:
        """Changes of the outlook that have nothing to work on under this option."""
        self.business(option, outlook)
        return self.variants.skipped.get((option, outlook), ())

    def _check(self, name: str, known: dict[str, Any], what: str) -> None:
        if name not in known:
            near = nearest(name, known)
            guess = f"; did you mean {near}?" if near else f"; there are {listed(known)}"
            raise InputError.of(
                [Problem(str(self.path), 0, 0, "", f"there is no {what} '{shown(name)}'{guess}")]
            )

    def business_digest(self, option: str = AS_TODAY, outlook: str = EXPECTED) -> str:
        """Digest of one resolved business, data files included: the same values, the same digest."""
        self.business(option, outlook)
        return _digest(self.variants.written(option, outlook, digest=True))

    @cached_property
    def digest(self) -> str:
        """Digest of all resolved values. Titles, summaries, ranges and the study's settings are not part of it."""
        options = {
            name: [option.start_up_cost, option.resale, self.business_digest(name)]
            for name, option in self.options.items()
        }
        outlooks = {
            name: [outlook.probability, self.business_digest(AS_TODAY, name)]
            for name, outlook in self.outlooks.items()
        }
        made_of = {"currency": self.currency, "options": options, "outlooks": outlooks}
        return _digest({**made_of, "estimates": self._drawn_from} if self.estimates else made_of)

    @property
    def _drawn_from(self) -> Any:
        """What estimates make of options and outlooks, which may set a value that is drawn to the very same."""
        tree = self.variants.tree.value
        changes = [
            [name, (body or {}).get("changes")]
            for kind in ("options", "outlooks")
            for name, body in (tree.get(kind) or {}).items()
        ]
        return [self.estimates.spec, [str(one) for one in self.given], changes]


def _digest(value: Any) -> str:
    text = json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def load(path: str | Path, registry: Registry, *, business_class: type[Section] | None = None) -> Scenario:
    """Load a scenario.

    Parameters
    ----------
    path : str or Path
        The file.
    registry : Registry
        Knows the settings class of each model.
    business_class : type[Section], optional
        What the keys below the header are read as; `Business` if left out.

    Raises
    ------
    InputError
        With every problem found.
    """
    business_class = business_model(business_class)
    file = Path(path)
    whole = read_whole(file, (*HEADER_KEYS, *fields_of(business_class)))
    doubt = Doubt(incomplete=not whole.complete)
    tree, problems = in_one_currency(whole)
    head = read_header(tree, business_class, doubt)
    variants = Variants(
        tree=head.tree,
        business_class=business_class,
        asked=Asked(registry),
        currency=head.currency,
        folder=whole.files[0].parent,
        doubt=doubt,
    )
    problems += [*whole.problems, *head.problems, *variants.check_base(), *variants.check_options()]
    header = head.header
    ranges, wrong = read_ranges(variants, tree, whole.files[0])
    problems += wrong
    estimates, wrong = read_estimates(
        variants, tree, header.estimates if header is not None else {}, whole.files[0]
    )
    problems += wrong
    if problems or header is None:
        raise InputError.of(taken_over(problems, str(file)))
    return Scenario(
        title=header.title,
        summary=header.summary,
        currency=header.currency,
        units=header.units,
        path=whole.files[0],
        files=whole.files,
        study=header.study,
        options={AS_TODAY: Option.model_validate({}), **header.options},
        outlooks={EXPECTED: Outlook.model_validate({}), **header.outlooks},
        ranges=ranges,
        warnings=tuple(variants.warnings(header)),
        variants=variants,
        estimates=estimates,
    )
