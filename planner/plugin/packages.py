"""Packages that offer models: found by their entry points, loaded one at a time.

In: entry points of the group ``planner.models.v1``. Out: packages by namespace; the providers of one namespace.
Must not know: which models a scenario names.

A package made for another version of the contract announces itself in another group (``planner.models.v2``). It is
found, told by name with what to do, and never imported.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from importlib.metadata import EntryPoint, entry_points
from typing import Any, Final, NamedTuple

import pluggy

from planner import __version__
from planner.plugin.protocol import ENTRY_POINT_GROUP, ENTRY_POINT_GROUPS, KINDS, Provider
from planner.scenario.section import Section
from planner.world.asking import told

BUILT_IN: Final = "core"
"""Namespace of the planner's own models."""
_NAME: Final = re.compile(r"[a-z][a-z0-9_]*")
_VERSION: Final = re.compile(re.escape(ENTRY_POINT_GROUPS) + r"\.v([0-9]{1,9})")


class LoadError(Exception):
    """A package cannot be used. One line, with its name and version."""


class Package(NamedTuple):
    """An installed package that offers models; the planner itself has no entry point."""

    namespace: str
    name: str
    version: str
    entry: EntryPoint | None

    @property
    def other_group(self) -> str:
        """What is wrong with the group in which it announces itself, and what to do; empty where it is ours."""
        if self.entry is None or self.entry.group == ENTRY_POINT_GROUP:
            return ""
        return (
            f"the package {self.name} {self.version} announces models called '{self.namespace}' in the entry-point "
            f"group {self.entry.group}, but planner {__version__} knows {ENTRY_POINT_GROUP}; {self._way_out()}"
        )

    def _way_out(self) -> str:
        group = self.entry.group if self.entry else ""
        theirs, ours = _VERSION.fullmatch(group), _VERSION.fullmatch(ENTRY_POINT_GROUP)
        if theirs is None or ours is None:
            return f"if it is yours, announce it in {ENTRY_POINT_GROUP} (pyproject.toml)"
        if int(theirs[1]) > int(ours[1]):
            return f"install a newer planner, or an older {self.name} that was made for {ENTRY_POINT_GROUP}"
        return f"install a newer {self.name} that was made for {ENTRY_POINT_GROUP}, or an older planner"


def is_outside(model: str) -> bool:
    """Does a model, such as ``measured.tmy3``, come from a package?"""
    return not model.startswith(f"{BUILT_IN}.")


def find_packages() -> dict[str, list[Package]]:
    """Every namespace on offer with the packages that claim it, without importing any of them.

    A package in another version of the group is among them, unless it claims the namespace in ours too.
    """
    found = {BUILT_IN: [Package(BUILT_IN, "planner", __version__, None)]}
    installed = entry_points()
    for group in sorted(one for one in installed.groups if one.startswith(ENTRY_POINT_GROUPS)):
        for entry in installed.select(group=group):
            name, version = _distribution(entry)
            found.setdefault(entry.name, []).append(Package(entry.name, name, version, entry))
    return {namespace: _ordered(packages) for namespace, packages in sorted(found.items())}


def _ordered(packages: list[Package]) -> list[Package]:
    """The planner first, other groups last; the same package found twice on the path counts once."""
    once = dict.fromkeys(packages)
    ours = {package.name for package in once if not package.other_group}
    those = [package for package in once if not package.other_group or package.name not in ours]
    return sorted(those, key=lambda one: (one.entry is not None, bool(one.other_group), one.name))


def _distribution(entry: EntryPoint) -> tuple[str, str]:
    """Name and version of the package that an entry point belongs to, as far as its metadata can be read."""
    try:
        if entry.dist is None:
            return entry.value, "of unknown version"
        return str(entry.dist.name), str(entry.dist.version)
    except Exception:  # damaged metadata of somebody else's package
        return entry.value, "of unknown version"


def load_package(manager: pluggy.PluginManager, packages: list[Package]) -> dict[tuple[str, str], Provider]:
    """What one namespace offers, by kind and name.

    Parameters
    ----------
    manager : pluggy.PluginManager
        Knows the hook specifications; the package is registered with it.
    packages : list of Package
        All that claim the namespace, the planner first.

    Raises
    ------
    LoadError
        Two packages claim it, or it cannot be imported, or what it offers is unsound; or it was made for another
        version of the contract.
    """
    package, *others = packages
    if package.other_group:
        raise LoadError("; ".join(one.other_group for one in packages))
    if (others := [one for one in others if not one.other_group]) and package.entry is not None:
        both = " and ".join(f"{one.name} {one.version}" for one in (package, *others))
        raise LoadError(f"both {both} offer models called '{package.namespace}'; uninstall one of them")
    try:
        plugin = _plugin(package)
        manager.register(plugin, name=package.namespace)
        offers = _offers(manager, plugin)
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        raise LoadError(
            f"the package {package.name} {package.version} cannot be used: planner_models: {told(error)}"
        ) from error
    found: dict[tuple[str, str], Provider] = {}
    for offer in offers:
        if wrong := _wrong(offer, found):
            raise LoadError(
                f"the package {package.name} {package.version} cannot be used: planner_models: {wrong}"
            )
        found[offer.kind, offer.name] = offer
    if not found:
        raise LoadError(f"the package {package.name} {package.version} offers no models")
    return found


def _plugin(package: Package) -> Any:
    if package.entry is None:
        from planner.plugin import builtin

        return builtin
    return package.entry.load()


def _offers(manager: pluggy.PluginManager, plugin: Any) -> list[Any]:
    """What this plugin alone returns; others are not asked."""
    others = [one for one in manager.get_plugins() if one is not plugin]
    answers: Iterable[Iterable[Any]] = manager.subset_hook_caller("planner_models", others)()
    return [offer for answer in answers for offer in answer]


def _wrong(offer: Any, found: dict[tuple[str, str], Provider]) -> str:
    """What is unsound about an offer; empty where nothing is."""
    if not isinstance(offer, Provider):
        return f"it returned {type(offer).__name__}, not Provider"
    if offer.kind not in KINDS:
        return f"{offer.name!r} is of the kind {offer.kind!r}; possible are {', '.join(KINDS)}"
    if not _NAME.fullmatch(offer.name):
        return f"{offer.name!r} cannot be a model's name; use small letters, digits and _"
    settings: Any = offer.settings
    if not (isinstance(settings, type) and issubclass(settings, Section)):
        return f"the settings of {offer.name!r} are no Section"
    if twin := found.get((offer.kind, offer.name)):
        one, other = (f"{of.settings.__module__}.{of.settings.__qualname__}" for of in (twin, offer))
        return f"two {offer.kind} models are called {offer.name!r}, with the settings {one} and {other}"
    return ""
