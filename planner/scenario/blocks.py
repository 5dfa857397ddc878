"""Which keys a block of a business has, in the settings of its models too.

In: the class of the business, who knows the settings of models, a tree and a path in it. Out: the keys that the block
there may have. Must not know: what a change does to it.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from planner.scenario.outline import fields_of, section_in
from planner.scenario.registry import MODEL_KINDS, Registry, UnknownModel
from planner.scenario.section import Choice, Section
from planner.scenario.tree import Steps, at


@dataclass(frozen=True, slots=True)
class Blocks:
    """Looks up what may stand at a path.

    Parameters
    ----------
    business_class : type[Section]
        What the tree is read as.
    registry : Registry
        Knows the settings of models.
    """

    business_class: type[Section]
    registry: Registry

    def keys_at(self, tree: Any, steps: Steps) -> Collection[str]:
        """Keys of the block at a path; none where a value, a list or a block with names of the user's stands."""
        section = self._section(tree, steps)
        return fields_of(section) if section is not None else ()

    def shares_at(self, tree: Any, steps: Steps) -> Collection[str]:
        """Keys of the block at a path whose values sum to 1; none where there are no such keys."""
        section = self._section(tree, steps)
        return section.SUM_TO_ONE if section is not None else ()

    def _section(self, tree: Any, steps: Steps) -> type[Section] | None:
        section: type[Section] | None = self.business_class
        shape = "one"
        for position, step in enumerate(steps):
            if section is None:
                return None
            if shape != "one":  # the step is an entry's place in the list, or its name
                shape = "one"
            elif issubclass(section, Choice) and step == "settings":
                section = self._settings(tree, steps[:position])
            elif field := fields_of(section).get(str(step)):
                shape, section = section_in(field.annotation)
            else:
                return None
        return section if shape == "one" else None

    def _settings(self, tree: Any, steps: Steps) -> type[Section] | None:
        """The class of the settings of the model that is chosen at a path; None where there is no such model."""
        try:
            model = at(tree, steps)["model"]
        except KeyError:
            return None
        if steps[0] not in MODEL_KINDS or not isinstance(model, str):
            return None
        try:
            return self.registry.settings_class(str(steps[0]), model)
        except UnknownModel as error:
            return self.registry.settings_class(str(steps[0]), error.meant) if error.meant else None
