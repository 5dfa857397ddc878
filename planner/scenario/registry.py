"""Who knows the settings of models: asked by name, never imported from here.

In: a kind of model and its name. Out: the class of its settings. The scenario is loaded with a registry
that somebody else keeps.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Protocol

from planner.scenario.section import Section

MODEL_KINDS: Final = ("supply", "demand", "weather", "rates", "pricing")


class UnknownModel(Exception):  # noqa: N818  (part of the contract with registries)
    """There is no such model; the message says which there are.

    Parameters
    ----------
    message : str
        In plain words, with the nearest right name.
    meant : str, optional
        The model that is clearly meant: its settings can be checked all the same.
    """

    def __init__(self, message: str, meant: str | None = None) -> None:
        super().__init__(message)
        self.meant = meant


class Registry(Protocol):
    """Knows the settings class of each model."""

    def settings_class(self, kind: str, model: str) -> type[Section]:
        """Class of the settings of a model.

        Parameters
        ----------
        kind : str
            One of `MODEL_KINDS`.
        model : str
            The model's name, such as `core.steady`.

        Raises
        ------
        UnknownModel
            In plain words, with the nearest right name.
        """
        ...


class Catalogue(Registry, Protocol):
    """A registry that can also name all of its models, for the JSON Schema and the table of fields."""

    def model_names(self, kind: str) -> Iterable[str]:
        """Name every model of a kind, such as `core.steady`."""
        ...


class Asked:
    """Remembers what a registry answered; carries the answers, not the registry, to other processes."""

    def __init__(self, registry: Registry | None) -> None:
        self._registry = registry
        self._known: dict[tuple[str, str], type[Section]] = {}

    def settings_class(self, kind: str, model: str) -> type[Section]:
        """Class of the settings of a model; see `Registry`."""
        key = (kind, model)
        if key not in self._known:
            if self._registry is None:
                raise UnknownModel(f"the model {model} was not asked for when the scenario was loaded")
            self._known[key] = self._registry.settings_class(kind, model)
        return self._known[key]

    @property
    def models(self) -> frozenset[str]:
        """Every model that there is and that was asked for."""
        return frozenset(model for _, model in self._known)

    def __getstate__(self) -> dict[str, object]:
        return {"_registry": None, "_known": self._known}
