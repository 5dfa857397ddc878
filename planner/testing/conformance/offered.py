"""What holds for a model of any kind: how it is offered, its settings, what importing and asking it leaves behind.

In: a provider, named by the class that takes this one as its base. Out: an ``AssertionError`` with plain words from
the check that does not hold.
Must not know: what a model of some kind is asked.
"""

from __future__ import annotations

import pickle
import re
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from pathlib import Path
from time import perf_counter
from typing import Any, ClassVar, Final

from planner.plugin.protocol import Kind, Provider
from planner.plugin.registry import key_of
from planner.plugin.soundness import complaints_of, wrong_model
from planner.scenario.section import Section
from planner.testing.conformance.claims import must
from planner.testing.conformance.imports import CORE, heavy, imported
from planner.testing.conformance.leaves import Print, differing
from planner.testing.conformance.written import faults, merged, refuses_strange_keys
from planner.world.draw import global_chance

_NAME: Final = re.compile(r"[a-z][a-z0-9_]*")
_TIMES: Final = 3
"""A call is timed so often; the fastest counts, as the others were held up by something else."""


class Conformance(ABC):
    """What every model keeps to. Take the class of a kind as the base of a test class, and name the provider.

    Attributes
    ----------
    provider : Provider
        What is looked at.
    settings : Mapping, optional
        Settings as a user writes them. Left out: the provider's example.
    changed : Mapping, optional
        What a small change of them puts over them. Left out: every number in the settings, one by one, made larger by
        a twentieth.
    currency : str
        That of prices in the settings.
    folder : Path, optional
        Where data files that the settings name are looked for. Left out: the current folder.
    """

    kind: ClassVar[Kind]
    provider: ClassVar[Provider]
    settings: Mapping[str, Any] | None = None
    changed: Mapping[str, Any] | None = None
    currency: str = "EUR"
    folder: Path | None = None

    # --- how the model is had ---

    def context(self) -> dict[str, Any]:
        """What settings are read with."""
        return {"currency": self.currency, "folder": self.folder or Path.cwd()}

    def written(self) -> Mapping[str, Any]:
        """Settings as a user writes them."""
        return self.provider.example if self.settings is None else self.settings

    def read(self, written: Mapping[str, Any] | None = None) -> Section:
        """Settings as the model gets them."""
        own = self.written() if written is None else written
        if written is None and self._refused(own):
            raise AssertionError(
                f"{'the example is' if self.settings is None else 'the settings of the class are'} not valid"
            )
        return self.provider.settings.model_validate(own, context=self.context())

    def _refused(self, written: Mapping[str, Any]) -> str:
        """What is wrong with settings, in the words of ``planner check``; empty where nothing is."""
        return "; ".join(complaints_of(self.provider.settings, written, self.context()))

    def model(self, written: Mapping[str, Any] | None = None) -> Any:
        """A fresh model."""
        return self.provider.build(self.read(written))

    def changes(self) -> Mapping[str, Any] | None:
        """Settings with the change that was named over them."""
        return None if self.changed is None else merged(self.written(), self.changed)

    def modules(self) -> tuple[str, ...]:
        """Modules that make up the model's package, as far as its provider shows them."""
        own = (self.provider.settings.__module__, getattr(self.provider.build, "__module__", ""))
        tops = tuple(name.partition(".")[0] for name in own)
        return tuple(sorted({name for name in (*own, *tops) if name and name != "functools"}))

    def package(self) -> str:
        """Top package of the model's settings."""
        return self.provider.settings.__module__.partition(".")[0]

    @abstractmethod
    def answers(self, model: Any) -> Print:
        """What a model answers to what this kind is asked, to the bit."""

    @abstractmethod
    def call(self, model: Any) -> tuple[str, float, Callable[[], Any]]:
        """What is timed: what it is, the most that it may take [s], and the call."""

    # --- checks ---

    def test_it_is_offered_under_a_name_that_a_scenario_can_write(self) -> None:
        """Kind, name, and one line of summary."""
        provider = self.provider
        must(
            provider.kind == self.kind,
            f"the provider is of the kind {provider.kind!r}, but this is the check of {self.kind!r}",
        )
        must(
            bool(_NAME.fullmatch(provider.name)),
            f"{provider.name!r} cannot be a model's name; use small letters, digits and _",
        )
        summary = provider.summary
        must(
            bool(summary.strip()) and len(summary.splitlines()) == 1,
            f"the summary must be one line that says what the model does, not {summary!r}",
        )

    def test_the_example_is_valid_and_can_be_built(self) -> None:
        """What users are shown works."""
        example = self.provider.example
        must(isinstance(example, Mapping), "the example must be a mapping, as a file holds it")
        refused = self._refused(example)
        must(not refused, f"the example is not valid: {refused}")
        own = "" if self.settings is None else self._refused(self.settings)
        must(not own, f"the settings of the class are not valid: {own}")
        try:
            model = self.provider.build(self.read(example))
        except Exception as error:
            raise AssertionError(f"no model can be built from the example: {error!r}") from error
        wrong = wrong_model(self.provider.kind, model)
        must(not wrong, wrong)

    def test_settings_are_closed_frozen_and_described(self) -> None:
        """Unknown keys are refused, values cannot be changed, every field is explained."""
        of = self.provider.settings
        found = faults(of)
        must(not found, "; ".join(found))
        self.read()
        must(
            refuses_strange_keys(of, self.written(), self.context()),
            f"{of.__name__} does not refuse a key that it does not know",
        )

    def test_settings_and_model_can_be_pickled(self) -> None:
        """So that they reach another process: the same values, and the same answers."""
        settings, model = self.read(), self.model()
        try:
            again, copy = pickle.loads(pickle.dumps(settings)), pickle.loads(pickle.dumps(model))
        except Exception as error:
            raise AssertionError(
                f"settings or model cannot be pickled ({error!r}); keep no open files, locks or lambdas in them"
            ) from error
        must(key_of(again) == key_of(settings), "the settings are not the same after pickling")
        wrong = differing(self.answers(model), self.answers(copy))
        must(not wrong, f"the model answers otherwise after pickling: {', '.join(wrong[:3])}")

    def test_settings_are_left_as_they_were(self) -> None:
        """Building and asking change nothing in the settings."""
        settings = self.read()
        before = key_of(settings)
        self.answers(self.provider.build(settings))
        must(key_of(settings) == before, "the model changed the settings that it was built from")

    def test_global_random_numbers_are_left_alone(self) -> None:
        """Python's and numpy's, while the model is built and asked."""
        before = global_chance()
        model = self.model()
        must(
            global_chance() == before,
            "build used or seeded Python's or numpy's global random numbers; there is no chance in building",
        )
        self.answers(model)
        must(
            global_chance() == before,
            "the model used or seeded Python's or numpy's global random numbers; chance comes from the draw handed in",
        )

    def test_importing_its_package_is_light(self) -> None:
        """Whoever names it waits for nothing that it does not need yet."""
        found = heavy(imported(self.modules()).named)
        must(
            not found,
            f"importing {self.package()} imports {', '.join(found)}; import these inside the function that needs them",
        )

    def test_nothing_of_it_is_imported_before_a_scenario_names_it(self) -> None:
        """An installed package changes nothing as long as nobody names it."""
        modules = imported(self.modules()).unnamed
        own = self.package() == CORE
        found = sorted(
            name
            for name in modules
            if (name in self.modules() and name != CORE if own else name.partition(".")[0] == self.package())
        )
        must(not found, f"{', '.join(found[:3])} was imported although no scenario names it")

    def test_a_call_takes_little_time(self) -> None:
        """Prints how much (``pytest -rP`` shows it), and fails only where runs would hang."""
        model = self.model()
        what, most_s, call = self.call(model)
        best_s = float("inf")
        for _ in range(_TIMES):
            start_s = perf_counter()
            call()
            best_s = min(best_s, perf_counter() - start_s)
        said = f"{self.provider.kind} {self.provider.name}: {what} takes {1000.0 * best_s:.3g} ms"
        print(said)  # noqa: T201  (a test's own words)
        must(best_s <= most_s, f"{said}; it may take {1000.0 * most_s:g} ms")
