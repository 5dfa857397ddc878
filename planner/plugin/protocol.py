"""The contract between the planner and its models, built-in or from a package. A public API, since planner 0.1.0.

In: a settings class and a build function from whoever offers a model. Out: model objects with plain methods that are
called once a replicate (weather, rates, supply, demand) or once a quote (pricing).
Must not know: the workshop, how runs are executed.

Finding a package. It announces itself by an entry point in the group ``planner.models.v1``; the entry point's name is
the namespace of its models (``measured`` -> ``measured.tmy3``). It is imported when a scenario names the namespace, by
``planner plugins``, ``planner schema`` and ``planner fields``, and by nothing else. Hooks may gain arguments, never
lose or change them; a breaking change is a new group. A package in another version of the group is told, and never
imported; one that announces the same namespace in several versions is used by ours.

What is called when:

===================  ==========================  ====================================================================
hook                 when                        how often
===================  ==========================  ====================================================================
``planner_models``   the namespace is named      once a process
``Provider.build``   before the first run        once a process and distinct settings
``draw``             before a run                once a world, distinct settings and name; options that leave the
                                                 model alone share what it returned
``quote``            during a run                for each buyer who asks, each time: some hundreds to thousands a year;
                                                 once for each alloy in stock at the end; by ``planner check`` too
``tin``              during a run                for each buyer who asks for tin; once at the end
===================  ==========================  ====================================================================

Processes. The same scenario is played in several processes at once, each with models of its own, and which of them
draws which world is chance: nothing may be handed on from one call to the next but what follows from the settings.
Settings are pickled, models are not. Calls come from one thread.

Chance. All of it comes from the :class:`~planner.world.draw.Draw` that is handed in: ``draw.uniform(name, shape)`` in
[0, 1) and ``draw.normal(name, shape)``, float64, vectorised, at most once for each name. Streams are keyed by seed,
replicate, the model's place in the scenario (``weather/``, ``rates/``, ``supply/<name>/``, ``demand/<name>/``, put
before each name) and the name: no model can reach another's. Asking again for a name gives the same numbers; a larger
first axis only adds rows. Make other distributions by their inverse (``scipy.special``), never by rejection, so that
a small change of settings leaves worlds paired. Neither Python's nor numpy's global generator may be touched, by
drawing or by seeding.

What is handed over. Draw, horizon, view, settings and arrays are read-only, and a package's own copies; what ``draw``
returns is copied, and its arrays become read-only. Whatever a package does to them it does to no other run, and if it
changes them it is told so and the run has failed.

What may raise, and what then happens. Any hook may raise anything:

===================  ==============================================================================================
``planner_models``   the package cannot be used; told where the scenario names it, exit code 2; so too if what it
                     returned is unsound: a class without its methods, an example that is not valid
``build``            nothing is played; a ``ValueError`` with one plain sentence, raised by the package's own files, is
                     told as it stands, anything else with its type, file and line; exit code 2
``draw``, ``quote``  this one run has failed; all others are played and kept, exit code 1
and ``tin``
===================  ==============================================================================================

A run has failed, too, if what a hook returns is no part of a world (type, dtype, shape, range; nan and inf are in no
range) or no price, if the hook ends the process, or if the run takes longer than ``study.patience`` (a minute, or
twenty times the longest run so far, if left out). A hook that took too long three times is not asked again in that
process.
``planner check`` asks in the same way, in world 0, and ends with exit code 1 if a hook fails.
Each failure is told with model, package, version, hook, replicate, seed, file and line of the scenario, and with the
command that repeats it. With ``--workers 1``, and from Python by default, everything is played in this process: there a
package that ends the process ends the command, and one whose machine code never returns to Python holds it up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal, Protocol, TypeAlias

import pluggy

from planner.scenario.section import Section
from planner.world.draw import Draw
from planner.world.parts import Crowd, Horizon, Pricing, Rates, Supply, Weather

Kind = Literal["pricing", "supply", "weather", "rates", "demand"]
KINDS: Final[tuple[Kind, ...]] = ("pricing", "supply", "weather", "rates", "demand")
ENTRY_POINT_GROUPS: Final = "planner.models"
"""Every version of the group begins so."""
ENTRY_POINT_GROUP: Final = f"{ENTRY_POINT_GROUPS}.v1"

hookspec = pluggy.HookspecMarker("planner")
hookimpl = pluggy.HookimplMarker("planner")


class WeatherModel(Protocol):
    """Draws the weather of the horizon. Since 0.1.0."""

    def draw(self, draw: Draw, horizon: Horizon) -> Weather:
        """Hourly weather; called once a world.

        Parameters
        ----------
        draw : Draw
            Chance of one world; its streams stand below ``weather/``.
        horizon : Horizon
            Days, dates, place and clock.

        Returns
        -------
        Weather
            Four columns of float64, shape (horizon.hours,): temperature [degC, -90 to 60], wind at 10 m [m/s, 0 to
            110], rain [mm in the hour, 0 to 400], sun on level ground [W/m2, 0 to 2000]. ``Weather.rounded`` brings
            them to the steps at which the heat balance is shared.
        """
        ...


class RatesModel(Protocol):
    """Draws what the yard pays. Since 0.1.0."""

    def draw(self, draw: Draw, horizon: Horizon) -> Rates:
        """Daily prices for every good; called once a world.

        Parameters
        ----------
        draw : Draw
            Chance of one world; its streams stand below ``rates/``.
        horizon : Horizon
            Days, dates, place and clock.

        Returns
        -------
        Rates
            For each of ``GOODS`` a column of float64, shape (horizon.days,), 0 or more [currency/kg].
        """
        ...


class SupplyModel(Protocol):
    """Draws shops and their buckets. Since 0.1.0."""

    def draw(self, draw: Draw, horizon: Horizon) -> Supply:
        """Shops with all the buckets they would fill within the horizon; called once a world and entry of ``supply``.

        What hangs on the owner is a mark: ``gone_after_h`` is compared with when the owner comes, ``misses_borne``
        with how often that was too late. Draw it whole, as if nobody ever came.

        Parameters
        ----------
        draw : Draw
            Chance of one world; its streams stand below ``supply/<name of the entry>/``. Name streams by the shop,
            never by its position, so that another shop changes none of them.
        horizon : Horizon
            Days, dates, place and clock.

        Returns
        -------
        Supply
            Shops with names of their own, in an order that stays; each with its buckets in order of time. The
            supply's own name is put there by the planner.
        """
        ...


class DemandModel(Protocol):
    """Draws one class of buyers. Since 0.1.0."""

    def draw(self, draw: Draw, horizon: Horizon) -> Crowd:
        """People with the sequence of their needs; called once a world and entry of ``demand``.

        A need falls due ``gap_h`` after the last one ended, which hangs on the owner: draw as many needs as can fall
        due if each is served at once. Gaps are operational time (`Horizon.operational_h`), so that a season can change
        without redrawing.

        Parameters
        ----------
        draw : Draw
            Chance of one world; its streams stand below ``demand/<name of the entry>/``. One row a person, so that a
            further person changes no other.
        horizon : Horizon
            Days, dates, place and clock.

        Returns
        -------
        Crowd
            Columns of shape (people, needs); the crowd's own name is put there by the planner.
        """
        ...


PricingModel: TypeAlias = Pricing
"""Quotes a price, once for each that is asked for. No chance, no state. Since 0.1.0."""


@dataclass(frozen=True, slots=True)
class Provider:
    """One model on offer. Since 0.1.0.

    Parameters
    ----------
    kind : Kind
        What it models.
    name : str
        Its name inside the package's namespace, such as ``tmy3``.
    settings : type[Section]
        Closed, frozen settings class: every field described, with the units and distributions of
        ``planner.scenario.units`` and ``planner.scenario.spread``. What is wrong with a user's settings is told at the
        scenario's line by pydantic and by checks that ``planner.scenario.section.across`` marks.
    build : callable
        ``build(settings) -> model``; called once for each distinct settings in each process, before any run. Gets a
        copy of the settings and may keep it, but not change it. May read the data files that the settings name. Raises
        ``ValueError`` with one plain sentence when that fails.
    summary : str
        One line for ``planner plugins``.
    example : Mapping
        Settings as a user would write them; checked by the tests.
    """

    kind: Kind
    name: str
    settings: type[Section]
    build: Callable[[Any], Any]
    summary: str
    example: Mapping[str, Any]


class ModelHooks:
    """Hook specifications."""

    @hookspec
    def planner_models(self) -> Iterable[Provider]:
        """Return the models this package offers. Since 0.1.0.

        Called once a process, when a scenario names the package. Import what is heavy in ``build``, not here.

        Returns
        -------
        iterable of Provider
            One at least; kind and name together no more than once.
        """
        raise NotImplementedError
