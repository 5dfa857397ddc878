"""Packages that offer models: found by their entry points, loaded one at a time.

In: entry points of the group ``planner.models.v1``. Out: packages by namespace; the providers of one namespace.
Must not know: which models a scenario names.

A package made for another version of the contract announces itself in another group (``planner.models.v2``), and one
whose author misspelt the group in one that nobody knows. Both are found, told by name with what to do, and never
imported.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from importlib.metadata import EntryPoint, entry_points
from importlib.util import find_spec
from typing import Any, Final, NamedTuple

import pluggy

from planner import __version__
from planner.plugin.protocol import ENTRY_POINT_GROUP, ENTRY_POINT_GROUPS, Provider
from planner.plugin.soundness import ALLOWED, NAME, wrong_offer
from planner.scenario.wording import shown
from planner.world.telling import PLANNER, Homes, told

BUILT_IN: Final = "core"
"""Namespace of the planner's own models."""
_GROUPS: Final = re.compile(r"planner(?:\..*|[_-]models?(?:[._-].*)?)?")
"""Entry-point groups in which somebody means the planner."""
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
    def label(self) -> str:
        """Name and version."""
        return f"{self.name} {self.version}"

    @property
    def misannounced(self) -> str:
        """What is wrong with the entry point by which it announces itself, and what to do; empty where nothing is."""
        if self.entry is None:
            return ""
        if self.entry.group != ENTRY_POINT_GROUP:
            return (
                f"the package {self.label} announces models called '{shown(self.namespace)}' in the entry-point group "
                f"{shown(self.entry.group)}, but planner {__version__} knows {ENTRY_POINT_GROUP}; {self._way_out()}"
            )
        if not NAME.fullmatch(self.namespace):
            near = re.sub(r"[^a-z0-9]+", "_", self.namespace.casefold()).strip("_0123456789")
            return (
                f"{self.label} cannot be used: its entry point is called '{shown(self.namespace)}', and no scenario "
                f"can write that in front of a model's name; {ALLOWED}{f', such as {near}' if near else ''}"
            )
        return ""

    def _way_out(self) -> str:
        group = self.entry.group if self.entry else ""
        theirs, ours = _VERSION.fullmatch(group), _VERSION.fullmatch(ENTRY_POINT_GROUP)
        yours = f"if it is yours: write {ENTRY_POINT_GROUP} in its pyproject.toml"
        if theirs is None or ours is None:
            return yours
        if int(theirs[1]) > int(ours[1]):
            return f"install a newer planner, or an older {self.name} that was made for {ENTRY_POINT_GROUP}; {yours}"
        return (
            f"install a newer {self.name} that was made for {ENTRY_POINT_GROUP}, or an older planner; {yours}"
        )


def is_outside(model: str) -> bool:
    """Does a model, such as ``measured.tmy3``, come from a package?"""
    return not model.startswith(f"{BUILT_IN}.")


def find_packages() -> dict[str, list[Package]]:
    """Every namespace on offer with the packages that claim it, without importing any of them.

    A package in another group is among them, unless it claims the namespace in ours too.
    """
    found = {BUILT_IN: [Package(BUILT_IN, "planner", __version__, None)]}
    installed = entry_points()
    for group in sorted(filter(_GROUPS.fullmatch, installed.groups)):
        for entry in installed.select(group=group):
            name, version = _distribution(entry)
            found.setdefault(entry.name, []).append(Package(entry.name, name, version, entry))
    return {namespace: _ordered(packages) for namespace, packages in sorted(found.items())}


def _ordered(packages: list[Package]) -> list[Package]:
    """The planner first, those that cannot be used last; the same package found twice on the path counts once."""
    once = dict.fromkeys(packages)
    ours = {package.name for package in once if not package.misannounced}
    those = [package for package in once if not package.misannounced or package.name not in ours]
    return sorted(those, key=lambda one: (one.entry is not None, bool(one.misannounced), one.name))


def _distribution(entry: EntryPoint) -> tuple[str, str]:
    """Name and version of the package that an entry point belongs to, as far as its metadata can be read."""
    try:
        if entry.dist is None:
            return entry.value, "of unknown version"
        return str(entry.dist.name), str(entry.dist.version)
    except Exception:  # damaged metadata of somebody else's package
        return entry.value, "of unknown version"


def homes_of(package: Package, provider: Provider | None = None) -> Homes:
    """Where the code of a package lies, as far as its entry point, or what it offers, shows it. Imports nothing."""
    if package.entry is None:
        return (PLANNER,)
    offered = (provider.settings, provider.build) if provider is not None else ()
    modules = [_module(package.entry), *(getattr(one, "__module__", None) or "" for one in offered)]
    tops = dict.fromkeys(module.partition(".")[0] for module in modules)
    return tuple(place for top in tops if top and top != "planner" for place in _places(top))


def _places(top: str) -> list[str]:
    """Folders, or the file, of a topmost module."""
    try:
        spec = find_spec(top)
    except (ImportError, ValueError):
        return []
    if spec is None:
        return []
    return list(spec.submodule_search_locations or filter(None, [spec.origin]))


def _module(entry: EntryPoint) -> str:
    """The module that an entry point names, however it is written."""
    return entry.value.partition("[")[0].partition(":")[0].strip()


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
    if package.misannounced:
        raise LoadError("; ".join(one.misannounced for one in packages))
    if (others := [one for one in others if not one.misannounced]) and package.entry is not None:
        both = " and ".join(one.label for one in (package, *others))
        raise LoadError(f"both {both} offer models called '{package.namespace}'; uninstall one of them")
    doing = f"importing {_module(package.entry)}" if package.entry else ""
    try:
        plugin = _plugin(package)
        doing = "planner_models"
        manager.register(plugin, name=package.namespace)
        found = _sound(package, _offers(manager, plugin, package))
    except LoadError:
        raise
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        raise _unusable(package, f"{doing}: {told(error, homes_of(package))}") from error
    return found


def _unusable(package: Package, why: str) -> LoadError:
    return LoadError(f"{package.label} cannot be used: {why}")


def _plugin(package: Package) -> Any:
    if package.entry is None:
        from planner.plugin import builtin

        return builtin
    return package.entry.load()


def _offers(manager: pluggy.PluginManager, plugin: Any, package: Package) -> list[Any]:
    """What this plugin alone returns; others are not asked."""
    if not manager.get_hookcallers(plugin):
        raise _unusable(package, _no_hook(package))
    others = [one for one in manager.get_plugins() if one is not plugin]
    answers = manager.subset_hook_caller("planner_models", others)()  # pluggy leaves out None
    if not answers:
        raise _unusable(package, "planner_models returned None, not a list of Providers")
    (answer,) = answers
    if not isinstance(answer, Iterable) or isinstance(answer, (str, bytes)):
        raise _unusable(package, f"planner_models returned {type(answer).__name__}, not a list of Providers")
    if not (offers := list(answer)):
        raise _unusable(package, "planner_models returned no Provider")
    return offers


def _no_hook(package: Package) -> str:
    entry = package.entry
    module = _module(entry) if entry is not None else package.namespace
    if entry is not None and ":" in entry.value:
        return f"the entry point must name a module ('{module}'), not a thing in it ('{shown(entry.value)}')"
    return f"the module {module} has no function planner_models marked with @hookimpl"


def _sound(package: Package, offers: Iterable[Any]) -> dict[tuple[str, str], Provider]:
    """Offers by kind and name; those of the planner itself are looked at by its tests."""
    found: dict[tuple[str, str], Provider] = {}
    for offer in offers:
        if wrong := _twin(offer, found) or (package.entry is not None and wrong_offer(offer)):
            raise _unusable(package, wrong)
        found[offer.kind, offer.name] = offer
    return found


def _twin(offer: Any, found: dict[tuple[str, str], Provider]) -> str:
    """Is there another of the same kind and name?"""
    twin = found.get((offer.kind, offer.name)) if isinstance(offer, Provider) else None
    if twin is None:
        return ""
    one, other = (f"{of.settings.__module__}.{of.settings.__qualname__}" for of in (twin, offer))
    return f"two {offer.kind} models are called {offer.name!r}, with the settings {one} and {other}"
