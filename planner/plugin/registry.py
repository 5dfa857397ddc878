"""Which models there are, found without importing what nobody named.

In: entry points of installed packages. Out: settings classes, providers and models that are ready to draw.
Must not know: scenarios, how models are used, what they model.

A namespace is loaded when a scenario names it, and only then: an installed but unnamed package can change no result,
and a broken one cannot stop the others.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final, NamedTuple

import pluggy
from pydantic import ValidationError

from planner.plugin.packages import (
    BUILT_IN,
    LoadError,
    Package,
    find_packages,
    homes_of,
    is_outside,
    load_package,
)
from planner.plugin.protocol import ENTRY_POINT_GROUP, KINDS, Kind, ModelHooks, Provider
from planner.plugin.soundness import wrong_model
from planner.scenario.fields import Described, described
from planner.scenario.registry import UnknownModel
from planner.scenario.section import Choice, Section
from planner.scenario.wording import close, listed, nearest, shown
from planner.world.asking import Asks, ModelError, unheard
from planner.world.telling import HANDED, Homes, is_plain, told

_MODEL: Final = re.compile(r"([a-z][a-z0-9_]*)\.([a-z][a-z0-9_]*)")

BUILT_KEPT: Final = 1024
"""So many models are kept, each for its own settings; where inputs are drawn, every world has others."""


class Row(NamedTuple):
    """One row a model on offer, or a package that cannot be used: then there is a problem, and no kind and settings."""

    kind: str
    model: str
    package: str
    version: str
    summary: str
    settings: tuple[Described, ...]
    problem: str


class Built(NamedTuple):
    """A model, the settings that it was made with, how these were written then, and where its code lies."""

    model: Any
    settings: Section
    written: str
    homes: Homes

    def intact(self) -> bool:
        """Are the settings still as they were?"""
        return key_of(self.settings) == self.written


class Registry:
    """Knows the models of the planner and of installed packages; holds everything itself, nothing is global."""

    def __init__(self) -> None:
        self._manager = pluggy.PluginManager("planner")
        self._manager.add_hookspecs(ModelHooks)
        self._packages: dict[str, list[Package]] | None = None
        self._loaded: dict[str, dict[tuple[str, str], Provider] | LoadError] = {}
        self._built: dict[tuple[str, str, str], Built] = {}

    def settings_class(self, kind: str, model: str) -> type[Section]:
        """Class of the settings of a model.

        Parameters
        ----------
        kind : str
            One of `KINDS`.
        model : str
            Its name, such as ``core.shops``.

        Raises
        ------
        UnknownModel
            In plain words, with the nearest right name.
        """
        return self.provider(kind, model).settings

    def provider(self, kind: str, model: str) -> Provider:
        """What a package offers under this name; see `settings_class`."""
        found = _MODEL.fullmatch(model)
        if not found:
            packages = self._found().get(model.rpartition(".")[0], [])
            if packages and (wrong := packages[0].misannounced):
                raise UnknownModel(wrong)
            raise self._malformed(kind, model)
        namespace, name = found.groups()
        offered = self._providers(namespace)
        if (kind, name) in offered:
            return offered[kind, name]
        raise _not_offered(kind, namespace, name, offered)

    def package(self, model: str) -> Package:
        """The package that a known model comes from."""
        return self._found()[model.partition(".")[0]][0]

    def label(self, model: str) -> str:
        """A known model with its package and version, for messages and manifests."""
        package = self.package(model)
        return f"{model} ({package.label})"

    def available(self) -> list[Row]:
        """Every model of every installed package, for ``planner plugins``; loads all of them, each on its own."""
        return [
            row for namespace, packages in self._found().items() for row in self._rows(namespace, packages)
        ]

    def model_names(self, kind: str) -> list[str]:
        """Every model of a kind that can be used, such as ``core.shops``; loads all packages, each on its own."""
        return [
            f"{namespace}.{one.name}"
            for namespace in self._found()
            for one in self._usable(namespace)
            if one.kind == kind
        ]

    def build(self, kind: str, choice: Choice) -> Any:
        """A model that is ready to draw; see `built`."""
        return self.built(kind, choice).model

    def built(self, kind: str, choice: Choice, place: str = "", asks: Asks = unheard) -> Built:
        """A model that is ready to draw, with the settings that it was handed; made once for each distinct settings.

        A package gets a copy of its settings, so that whatever it does to them, it does to no other run.

        Parameters
        ----------
        kind : str
            One of `KINDS`.
        choice : Choice
            The model and its settings.
        place : str
            Where the scenario names it, for messages.
        asks : Asks
            Told of each package whose model is built.

        Raises
        ------
        ModelError
            In one line, with model, package, version and hook.
        UnknownModel
            There is no such model.
        """
        provider = self.provider(kind, choice.model)
        settings = self._settings(provider, choice)
        key = (kind, choice.model, key_of(settings))
        found = self._built.pop(key, None)
        if found is None:
            found = self._made(provider, choice.model, settings, place, asks)
            if len(self._built) >= BUILT_KEPT:  # the one that was asked for longest ago
                del self._built[next(iter(self._built))]
        self._built[key] = found
        return found

    def _made(self, provider: Provider, model: str, settings: Section, place: str, asks: Asks) -> Built:
        """A model made of a copy of its settings, if it is a package's, and looked at."""
        outside, label, at = is_outside(model), self.label(model), place and f", {place}"
        where, homes = f"{label}, build{at}", homes_of(self.package(model), provider)
        handed = settings.model_copy(deep=True) if outside else settings
        asks(where if outside else "")
        try:
            made = provider.build(handed)
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            what = " ".join(str(error).split()) if is_plain(error, homes) else told(error, homes)
            raise ModelError(f"{where}: {what}") from error
        asks("")
        if outside and (wrong := wrong_model(provider.kind, made)):
            raise ModelError(f"{label}{at}: {wrong}")
        built = Built(made, handed, key_of(settings), homes)
        if not built.intact():
            raise ModelError(f"{where}: it changed the settings that it was handed; {HANDED}")
        return built

    def _settings(self, provider: Provider, choice: Choice) -> Section:
        """Settings as the model's own class: those of a `Choice` that was never read may still be a mapping."""
        settings = choice.settings
        if isinstance(settings, provider.settings):
            return settings
        try:
            return provider.settings.model_validate(settings)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            place = ".".join(map(str, first["loc"]))
            raise ModelError(f"{self.label(choice.model)}, settings: {place}: {first['msg']}") from error

    def _found(self) -> dict[str, list[Package]]:
        if self._packages is None:
            self._packages = find_packages()
        return self._packages

    def _providers(self, namespace: str) -> dict[tuple[str, str], Provider]:
        """Everything that a namespace offers, loaded when it is named for the first time."""
        if namespace not in self._loaded:
            packages = self._found().get(namespace)
            if not packages:
                raise UnknownModel(self._not_installed(namespace))
            try:
                self._loaded[namespace] = load_package(self._manager, packages)
            except LoadError as error:
                self._loaded[namespace] = error
        offered = self._loaded[namespace]
        if isinstance(offered, LoadError):
            raise UnknownModel(str(offered)) from offered
        return offered

    def _usable(self, namespace: str) -> list[Provider]:
        """What can be used of a namespace, by kind and name; nothing where it cannot be loaded."""
        try:
            offered = self._providers(namespace)
        except UnknownModel:
            return []
        return sorted(offered.values(), key=lambda one: (KINDS.index(one.kind), one.name))

    def _rows(self, namespace: str, packages: list[Package]) -> Iterator[Row]:
        try:
            self._providers(namespace)
        except UnknownModel as error:
            for package in packages:
                problem = package.misannounced or str(error)
                yield Row("", f"{namespace}.*", package.name, package.version, "", (), problem)
            return
        package, *others = packages
        for one in self._usable(namespace):
            keys = [key._replace(default=key.default.strip("`")) for key in described(one.settings)]
            model = f"{namespace}.{one.name}"
            yield Row(one.kind, model, package.name, package.version, one.summary, tuple(keys), "")
        for other in others:
            taken = (
                f"{other.label} cannot be used: the name {namespace} belongs to the planner itself; its models cannot "
                "be reached"
            )
            yield Row("", f"{namespace}.*", other.name, other.version, "", (), other.misannounced or taken)

    def _malformed(self, kind: str, model: str) -> UnknownModel:
        known = [f"{BUILT_IN}.{name}" for of, name in self._providers(BUILT_IN) if of == kind]
        near = nearest(f"{BUILT_IN}.{model}", known)
        guess = f"; did you mean {near}?" if near else f", such as {known[0]}" if known else ""
        words = f"'{shown(model)}' is not the name of a model; write package and model with a dot between them{guess}"
        return UnknownModel(words, close(f"{BUILT_IN}.{model}", known))

    def _not_installed(self, namespace: str) -> str:
        names = sorted(self._found())
        near = nearest(namespace, names)
        guess = f"did you mean {near}? " if near else ""
        return (
            f"no installed package offers models called '{shown(namespace)}'; {guess}installed are {listed(names)} "
            f"(a package announces models in the entry-point group {ENTRY_POINT_GROUP})"
        )


def key_of(settings: Section) -> str:
    """The same text for settings that hold the same values, in the same order."""
    return repr(_plain(settings))


def _plain(value: Any) -> Any:
    if isinstance(value, Section):
        return type(value).__qualname__, [(name, _plain(inner)) for name, inner in vars(value).items()]
    if isinstance(value, dict):
        return [(name, _plain(inner)) for name, inner in value.items()]
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    return value


def _not_offered(
    kind: str, namespace: str, name: str, offered: dict[tuple[str, str], Provider]
) -> UnknownModel:
    same_kind = sorted(f"{namespace}.{other}" for of, other in offered if of == kind)
    other_kinds = [of for of, other in offered if other == name]
    model = f"{namespace}.{name}"
    choice = f"{kind} models are {listed(same_kind)}" if same_kind else f"{namespace} offers no {kind} model"
    if other_kinds:
        words = f"{model} is a {' or '.join(other_kinds)} model, but a {kind} model is needed here; {choice}"
        return UnknownModel(words)
    near = nearest(model, same_kind)
    guess = f"did you mean {near}? " if near else ""
    return UnknownModel(f"there is no {kind} model {model}; {guess}{choice}", close(model, same_kind))


__all__ = ["Kind", "Registry", "Row", "UnknownModel", "key_of"]
