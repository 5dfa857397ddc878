"""One run: a business in a world, played from the first hour to the last.

In: settings, a world, a pricing model, an option's start-up cost. Out: ``Run``.
Must not know: other runs, chance, files. The same arguments give the same run to the bit.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from functools import partial
from operator import attrgetter
from typing import Any, Final, NamedTuple

import simpy

from planner.scenario.business import Business
from planner.workshop import fetch
from planner.workshop.clock import RunError as RunError
from planner.workshop.clock import clock, most_events
from planner.workshop.enquiries import Enquiries
from planner.workshop.floor import Batch, Floor, nobody
from planner.workshop.measures import measures_of
from planner.workshop.months import periods
from planner.workshop.owner import Owner
from planner.workshop.premises import Premises, StartUp, Tables, premises
from planner.workshop.result import OPENING, Balance, MonthRow, Run
from planner.world.build import ModelError
from planner.world.parts import ALLOYS, Alloy, Pricing, World

AFTER_H: Final = 1e-6
"""The clock runs this much longer than the horizon, so that what ends with it takes effect."""

_WHEN: Final = attrgetter("t_h")


class Watch(NamedTuple):
    """Somebody who looks at the floor at these hours, in order, and changes nothing."""

    t_h: Sequence[float]
    look: Callable[[float, Floor], None]


def play(
    business: Business,
    world: World,
    pricing: Pricing,
    start_up: StartUp | None = None,
    tables: Tables | None = None,
    known: Premises | None = None,
    diary: bool = True,
    watch: Watch | None = None,
) -> Run:
    """Play one business through one world.

    Parameters
    ----------
    business : Business
        Settings, option and outlook applied.
    world : World
        What happens by itself.
    pricing : Pricing
        Quotes prices.
    start_up : StartUp, optional
        What the option costs to start, and what its gear brings at the end [currency].
    tables : Tables, optional
        Heat tables to share between runs.
    known : Premises, optional
        What follows from the settings; worked out if not given.
    diary : bool
        Keep notes of what happened and why; nothing else depends on it.
    watch : Watch, optional
        Looks at the floor meanwhile; nothing depends on it.

    Returns
    -------
    Run
        Rows, mass balance, measures.

    Raises
    ------
    RunError
        If the books do not add up, or far more happens than the size of the business explains: faults of the program.
    """
    known = known or premises(business)
    env = clock(most_events(world, 0 if watch is None else len(watch.t_h)))
    floor = Floor(business, world, pricing, start_up or StartUp(), known, tables or Tables(), diary)
    _open(floor)
    enquiries = Enquiries(env, floor)
    owner = Owner(env, floor, enquiries)
    enquiries.start()
    _spawn(env, owner.process())
    _spawn(env, _dates(env, floor))
    _spawn(env, _counts(env, floor))
    if watch is not None:
        _spawn(env, _watched(env, floor, watch))
    env.run(until=floor.horizon_h + AFTER_H)
    floor.book(floor.horizon_h, "resale of gear", floor.start_up.resale, "option")
    run = floor.run
    run.months[-1] = run.months[-1]._replace(
        cash=floor.cash
    )  # what is booked at the very end belongs to the last month
    run.ledger.sort(key=_WHEN)
    run.notes.sort(key=_WHEN)
    run.balance = _balance(floor)
    if abs(run.balance.error_kg) > 1e-6:
        raise RunError(f"{run.balance.error_kg:.6f} kg are missing from the mass balance")
    run.measures = measures_of(floor, enquiries)
    _cut_rings(env, floor, owner)
    return run


def _spawn(env: simpy.Environment, process: Generator[simpy.Event, Any, None]) -> None:
    """Start a process. simpy raises what it fails at again from its arguments alone, so it gets one string."""

    def guarded() -> Generator[simpy.Event, Any, None]:
        try:
            yield from process
        except (RunError, ModelError):
            raise
        except Exception as error:
            raise RunError(f"{type(error).__name__}: {error}") from error

    env.process(guarded())


def _cut_rings(env: simpy.Environment, f: Floor, owner: Owner) -> None:
    """Let clock, floor and owner forget each other: their rows are freed at once, not looked for among all objects."""
    env._queue.clear()  # what was still to come at the horizon
    owner.idle = None
    f.wake = nobody


def _open(f: Floor) -> None:
    """Opening stock, start-up cost."""
    f.book(0.0, "start-up cost", -f.start_up.cost, "option")
    f.costs(0.0, "start")
    stock = f.business.stock
    opening: tuple[tuple[Alloy, float], ...] = (
        ("hard", stock.hard_kg),
        ("soft", stock.soft_kg),
        ("mixed", stock.mixed_kg),
    )
    for alloy, kg in opening:
        if kg > 0:
            f.cast(alloy, Batch(0, kg, stock.cost_per_kg, 0.0, 0.0, False))
    for lot in stock.lots:
        fetch.store(f, 0.0, OPENING, lot.mass_kg, lot.cost, False, 0.5, lot.shares)


def _dates(env: simpy.Environment, f: Floor) -> Generator[simpy.Event, Any, None]:
    """What comes on a date: each month's costs by the share of it played, what is owed, bills, being stopped."""
    dates: list[tuple[float, Callable[[], None]]] = [
        (t_h, partial(f.costs, t_h, "month", share)) for t_h, share in f.months
    ]
    dates += fetch.dues(f)
    dates += [
        (bill.t_h, partial(f.book, bill.t_h, bill.what, -bill.amount, crowd.name))
        for crowd in f.world.crowds
        for bill in crowd.bills
    ]
    if f.stopped_h < f.horizon_h:
        dates.append((f.stopped_h, partial(_stopped, f)))
    for t_h, happens in sorted(dates, key=lambda row: row[0]):
        yield env.timeout(t_h - env.now)
        happens()


def _counts(env: simpy.Environment, f: Floor) -> Generator[simpy.Event, Any, None]:
    """What is there at the end of each month (of a short horizon week or day), once its costs are paid."""
    for _, ends in periods(f.world.horizon.start, f.world.horizon.days):
        yield env.timeout(24.0 * ends - env.now)
        f.run.months.append(MonthRow(24.0 * ends, f.cash, f.ingot_total_kg(), f.weights_kg()))


def _watched(env: simpy.Environment, f: Floor, watch: Watch) -> Generator[simpy.Event, Any, None]:
    """Let somebody look when they want to."""
    for t_h in watch.t_h:
        yield env.timeout(t_h - env.now)
        watch.look(t_h, f)


def _stopped(f: Floor) -> None:
    stopped = f.business.stopped
    f.note(f.stopped_h, "stopped", "", stopped.reason)
    f.book(f.stopped_h, "resale of gear", stopped.gear_resale, stopped.reason)


def _balance(f: Floor) -> Balance:
    stock = f.business.stock
    opening = stock.hard_kg + stock.soft_kg + stock.mixed_kg
    bought = sum(row.mass_kg for row in f.run.lots)
    return Balance(
        bought_kg=bought,
        opening_kg=opening,
        pewter_kg=f.pewter_in_kg,
        sold_kg=f.sold_kg,
        yard_kg=f.yard_kg,
        ingots_kg=sum(batch.mass_kg for alloy in ALLOYS for batch in f.ingots[alloy]),
        lots_kg=f.weights_kg(),
        clips_kg=f.goods["clips"],
        zinc_kg=f.goods["zinc"],
        steel_kg=f.goods["steel"],
        dross_kg=f.goods["dross"],
        rubbish_kg=f.rubbish_kg,
        in_pot_kg=f.contents.mass_kg,
    )
