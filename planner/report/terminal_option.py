"""What follows from a scenario without playing, and one option played, as text for a terminal of 80 columns.

In: a ``Check`` or a ``Played``. Out: things that rich prints. Must not know: the terminal itself; it computes nothing.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from math import isnan
from pathlib import Path

from rich.console import RenderableType
from rich.text import Text

from planner.report.origin_words import counts_words
from planner.report.phrases import AGAIN, counted, listed, quoted, reader_of, too_few
from planner.report.spread_words import spread_words
from planner.report.terminal import (
    heading,
    indented,
    measures_table,
    next_steps,
    plain_table,
    refusal,
    safety,
    safety_in_full,
    warnings,
    written,
)
from planner.report.units import NOTHING, Reader, number
from planner.study import Check, Played
from planner.study.checking import OptionLift
from planner.study.failures import FailedRun
from planner.study.limits import Refusal
from planner.trade.lifting import SCOPE_C

FAILURES_SHOWN = 5


def checked(found: Check, file: Path) -> Iterator[RenderableType]:
    """What follows without simulating, and the command to go on with."""
    reader = reader_of(found.subject)
    count, others = counted(len(found.options), "option"), counted(len(found.outlooks), "outlook")
    yield heading(f"{found.subject.title}: {found.subject.file} is sound")
    yield indented(f"{count}, {others}; below: {quoted(found.option)}")
    yield indented(f"planner compare plays up to {found.outlay.words}")
    if found.estimates:
        drawn = counted(found.estimates, "input")
        yield indented(
            f"{drawn} {'is' if found.estimates == 1 else 'are'} drawn anew in every world (estimates)"
        )
    yield indented(counts_words(found.origins))
    yield from warnings(found.warnings)
    for words in found.prospects.missing:
        yield Text(f"Mind: {words}.", style="bold red")
    yield indented(
        f"Free hours a week: {number(found.prospects.free_hours_a_week, 1)}; of these "
        f"{number(found.prospects.melting_hours_a_week, 1)} allow to light up (day, daylight, rain, wind, cold)"
    )
    for note in found.notes:
        yield indented(note)
    for row in found.owed:
        yield indented(
            f"Owed by contract, wanted or not: {counted(row.buckets, 'bucket')} from {row.shop}, in all "
            f"{reader.money(row.money, 2)}, paid for even if not fetched"
        )
    if found.bucket is not None:
        yield indented(
            f"A typical bucket: {reader.mass(found.bucket.mass_kg)} {reader.mass_unit} for "
            f"{reader.money(found.bucket.price, 2)}, {100 * found.bucket.lead_share:.0f} % lead"
        )
        yield from _lifting(found, reader)
        yield from _hours(found, reader)
        yield from _money(found, reader)
    yield from _limits(found, reader)
    yield from safety_in_full(found.cautions)
    yield Text("")
    yield from next_steps((f"planner compare {shlex.quote(str(file))}", "which option is best"))


def _lifting(found: Check, reader: Reader) -> Iterator[RenderableType]:
    yield Text("")
    yield heading("Lifting between floor and tailgate (index; above 1 raised risk, above 3 refused)")
    portion = f"{reader.mass(found.portion_kg)} {reader.mass_unit}"
    table = plain_table(
        ("How", "left"), ("full", "right"), ("half", "right"), (portion, "right"), ("", "left"), ("", "left")
    )
    for row in found.lifts:
        table.add_row(
            row.method,
            number(row.full_index, 1),
            number(row.half_index, 1),
            number(row.portion_index, 1),
            row.verdict,
            "in use" if row.in_use else "",
        )
    yield table
    yield from _option_lifts(found, reader)
    low, high = (reader.air(of) for of in SCOPE_C)
    yield indented(
        "Revised NIOSH lifting equation, NIOSH 94-110; it covers one person lifting freely, so what two people or a "
        f"device take off the hands is assumed. {100 * found.not_covered_share:.0f} % of your free hours are colder or "
        f"warmer than the {low} to {high} that it covers: take the index as a hint then, and lift less."
    )


def _option_lifts(found: Check, reader: Reader) -> Iterator[RenderableType]:
    """Options that lift alike share a row."""
    alike: dict[tuple[object, ...], list[OptionLift]] = {}
    for row in found.option_lifts:
        alike.setdefault(row[1:], []).append(row)
    table = plain_table(
        ("Option", "left"),
        ("lifts", "left"),
        (reader.mass_unit, "right"),
        ("index", "right"),
        ("min", "right"),
        ("", "left"),
        name_width=30,
    )
    yield Text("")
    for rows in alike.values():
        one, others = rows[0], len(rows) - 1
        table.add_row(
            Text(one.option + (f" and {others} more" if others else "")),
            one.method + (", helper's days" if one.helped else ""),
            reader.mass(one.portion_kg),
            number(one.lifting_index, 1),
            number(one.minutes, 0),
            one.verdict,
        )
    yield table
    yield indented("min: minutes a bucket, splitting, into the vehicle, out at home, setting up what helps.")


def _hours(found: Check, reader: Reader) -> Iterator[RenderableType]:
    yield Text("")
    if not found.hours:
        yield heading("Nothing is melted.")
        return
    yield heading("One bucket at the stove, in hours like your free ones")
    table = plain_table(
        ("Weather", "left"),
        ("air", "right"),
        ("wind", "right"),
        ("stove h", "right"),
        (f"propane {reader.mass_unit}", "right"),
        (f"ingots {reader.mass_unit}", "right"),
        ("heat used", "right"),
    )
    for row in found.hours:
        used = f"{100 * row.useful_share:.0f} %" if row.melts else NOTHING
        figures = (
            (number(row.stove_h, 1), reader.mass(row.fuel_kg, 2), reader.mass(row.ingots_kg))
            if row.melts
            else ("never melts", "", "")
        )
        table.add_row(row.weather, reader.air(row.air_c), reader.wind(row.wind_m_s), *figures, used)
    yield table
    yield indented(
        "Still, windy, cold and warm: the lowest and highest tenth. Wind at 10 m. Stove: lit to solid, without setting "
        "up and cleaning up."
    )


def _money(found: Check, reader: Reader) -> Iterator[RenderableType]:
    yield Text("")
    yield heading(
        f"What one bucket brings [{reader.currency}, h], in ordinary weather, all of it sold that way"
    )
    table = plain_table(
        ("Sold to", "left"),
        (f"a {reader.mass_unit}", "right"),
        ("income", "right"),
        ("cost", "right"),
        ("left", "right"),
        ("hours", "right"),
        ("an hour", "right"),
        name_width=24,
    )
    for row in found.money:
        table.add_row(
            Text(row.channel),
            reader.per_mass(row.per_kg),
            number(row.income, 2),
            number(row.cost, 2),
            number(row.income - row.cost, 2),
            number(row.hours_h, 1),
            number(row.per_hour, 1),
        )
    yield table
    if any(isnan(row.per_hour) for row in found.money):
        yield indented(f"{NOTHING}: it never melts, so it is never sold that way.")
    yield indented(
        "Cost: the bucket, propane, driving, postage, a second person who lifts. Hours: fetching, melting, selling."
    )


def _limits(found: Check, reader: Reader) -> Iterator[RenderableType]:
    yield Text("")
    yield heading("Limits")
    buckets = counted(found.payload.buckets, "full bucket")
    load = f"{reader.mass(found.payload.load_kg)} {reader.mass_unit}"
    yield indented(
        f"Payload beside the people in the vehicle: {load}, {buckets}; its {found.payload.bound} is what binds"
    )
    if found.payload.over_kg > 0:
        over = f"{reader.mass(found.payload.over_kg)} {reader.mass_unit}"
        yield indented(
            f"Of that {over} are an overload that you accept: unsafe, often unlawful, it wears the vehicle"
        )
    yield indented(
        f"Full pot {reader.mass(found.full_pot_kg)} {reader.mass_unit}, stand rated for "
        f"{reader.mass(found.stand_kg)} {reader.mass_unit}"
    )
    alike: dict[Refusal, list[str]] = {}
    for name, broken in found.refusals:
        for one in broken:
            alike.setdefault(one, []).append(name)
    for one, names in alike.items():
        yield indented(f"Refused: {listed(names)}: {refusal(one)}")
    if not found.refusals:
        yield indented("No option breaks a hard limit.")


def one_option(played: Played, files: Sequence[Path]) -> Iterator[RenderableType]:
    """One option played: its figures, failures, safety, where the trace lies."""
    reader, several = reader_of(played.subject), len(played.worlds) > 1
    yield from warnings(played.warnings)
    yield from safety(played.cautions)
    yield Text("")
    which = f"{len(played.worlds)} worlds" if several else f"world {played.worlds[0]}"
    changed = "".join(f", {one}" for one in played.inputs)
    yield heading(f"{played.subject.title}: {played.option}, {played.outlook}{changed}, {which}")
    if len(played.failures) == len(played.worlds):
        yield from failed(played.failures)
        yield from written(files)
        return
    rows = [(one.label, played.levels.at(m), one.unit) for m, one in enumerate(played.measures)]
    hidden = [row for row in rows if row[1].mean == 0.0]
    few = too_few(len(played.worlds)) if several else None
    yield measures_table([row for row in rows if row[1].mean != 0.0], reader, several and few is None)
    if any(isnan(row[1].mean) for row in rows):
        yield indented(f"{NOTHING}: a share of what never was: no hour worked, or no propane burnt.")
    if few:
        yield indented(few)
    if hidden:
        yield indented(f"Nothing: {'; '.join(row[0] for row in hidden)}.")
    for sentence in spread_words(played.spread, played.subject):
        yield indented(sentence)
    for one in played.refusals:
        yield Text(f"Refused: {refusal(one)}", style="bold")
    yield from failed(played.failures)
    if files and several:
        yield Text(f"The trace tells of world {played.worlds[0]} only.")
    yield from written(files)


def failed(runs: Sequence[FailedRun]) -> Iterator[RenderableType]:
    """Runs without a result, and how to repeat each."""
    for one in runs[:FAILURES_SHOWN]:
        yield Text(f"Failed: {quoted(one.option)} in world {one.replicate}: {one.summary}", style="red")
        yield indented(f"{AGAIN}{one.repeat}")
    if len(runs) > FAILURES_SHOWN:
        yield indented(f"and {len(runs) - FAILURES_SHOWN} more")
