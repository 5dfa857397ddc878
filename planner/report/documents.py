"""What each command found, as one JSON document.

In: values of the study. Out: plain mappings, lists, texts and numbers; what is not a number becomes null.
Must not know: files, the terminal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from math import isfinite
from pathlib import Path
from typing import Any

from planner.report.asides import asides, outlook_words
from planner.report.words import advice
from planner.study import Check, Interval, Played, Study
from planner.study.holding import held_back
from planner.study.hour_price import hour_prices
from planner.study.sample import Sample
from planner.study.start_up import start_up_charge
from planner.study.study import Subject
from planner.study.tables import failures
from planner.trade.safety import DEFERENCE, Caution


def plain(value: Any) -> Any:
    """Values as JSON knows them."""
    if isinstance(value, float):
        return value if isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(key): plain(inner) for key, inner in value.items()}
    if hasattr(value, "_asdict"):
        return plain(value._asdict())
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, (list, tuple)):
        return [plain(inner) for inner in value]
    return value if value is None or isinstance(value, (bool, int, str)) else str(value)


def check_document(found: Check) -> dict[str, Any]:
    """The document of ``planner check``."""
    return {
        "scenario": scenario_of(found.subject),
        "option": found.option,
        "options": list(found.options),
        "outlooks": list(found.outlooks),
        "outlay": plain(found.outlay),
        "estimates": found.estimates,
        "origins": plain(found.origins),
        "prospects": plain(found.prospects),
        "owed": plain(found.owed),
        "notes": list(found.notes),
        "bucket": plain(found.bucket),
        "portion_kg": plain(found.portion_kg),
        "lifting": plain(found.lifts),
        "lifting_by_option": plain(found.option_lifts),
        "lifting_not_covered_share": plain(found.not_covered_share),
        "payload": plain(found.payload),
        "full_pot_kg": plain(found.full_pot_kg),
        "stand_kg": plain(found.stand_kg),
        "hours": plain(found.hours),
        "money": plain(found.money),
        "refused": {name: plain(broken) for name, broken in found.refusals},
        **said(found.warnings, found.cautions),
    }


def run_document(played: Played, files: Sequence[Path] = ()) -> dict[str, Any]:
    """The document of ``planner run``: each measure a number, or mean, low and high of several worlds."""
    one = len(played.worlds) == 1
    levels = {name.name: played.levels.at(m) for m, name in enumerate(played.measures)}
    return {
        "scenario": scenario_of(played.subject),
        "option": played.option,
        "outlook": played.outlook,
        "set": list(played.inputs),
        "seed": played.subject.seed,
        "worlds": list(played.worlds),
        "measures": {name: plain(found.mean) if one else _interval(found) for name, found in levels.items()},
        "spread": plain(played.spread),
        "refused": plain(played.refusals),
        "failures": plain(played.failures),
        "files": [str(path) for path in files],
        **said(played.warnings, played.cautions),
    }


def study_document(study: Study, files: Sequence[Path] = ()) -> dict[str, Any]:
    """The document of ``planner compare``."""
    subject, broken = study.subject, failures(study)
    return {
        "scenario": scenario_of(subject),
        "seed": subject.seed,
        "replicates": subject.replicates,
        "confidence": subject.confidence,
        "base": subject.base,
        "advice": list(advice(study)),
        "asides": list(asides(study)),
        "findings": plain(study.findings),
        "choice": plain(study.choice),
        "outlooks": list(outlook_words(study)),
        "repeatable": study.choice is None or study.choice.budget.repeatable,
        "confirmed": None if study.fresh is None else _figures_of(study, study.fresh),
        "hour_prices": plain(hour_prices(study)),
        "start_up": {name: plain(start_up_charge(study, name)) for name in study.names},
        "held_back": {name: plain(held_back(study, name)) for name in study.names},
        "unknowns": plain(study.unknowns),
        "origins": plain(study.origins),
        "options": _figures_of(study, study.sample),
        "failures": [dict(zip(broken.columns, map(plain, row), strict=True)) for row in broken.rows],
        "files": [str(path) for path in files],
        **said(study.warnings, study.cautions),
    }


def _figures_of(study: Study, sample: Sample) -> list[dict[str, Any]]:
    """Figures of each option under each outlook of a sample."""
    known = {one.name: one for one in study.options}
    return [
        {
            "option": name,
            "outlook": outlook,
            "worlds": sample.worlds,
            "summary": known[name].summary,
            "start_up_cost": plain(known[name].start_up_cost),
            "resale": plain(known[name].resale),
            "refused": plain(study.refusals[name, outlook]),
            "pairing_saved": plain(float(sample.pairing_saved[o, w])),
            "spread": plain(sample.spreads.at(o, w)),
            "difference_spread": plain(sample.gain_spreads.at(o, w)),
            "measures": {
                one.name: _interval(sample.levels.at(o, w, m)) for m, one in enumerate(sample.measures)
            },
            "differences": {
                one.name: _interval(sample.differences.at(o, w, m)) for m, one in enumerate(sample.measures)
            },
        }
        for o, name in enumerate(sample.options)
        for w, outlook in enumerate(sample.outlooks)
    ]


def plugins_document(rows: Iterable[Any]) -> dict[str, Any]:
    """The document of ``planner plugins``."""
    return {"models": [plain(row) for row in rows]}


def problem_document(message: str, problems: Iterable[Any] = ()) -> dict[str, Any]:
    """The document of a command that could not be carried out."""
    return {"error": message, "problems": [plain(problem) for problem in problems]}


def scenario_of(subject: Subject) -> dict[str, Any]:
    """What every document says first: which scenario it is of."""
    return {
        "title": subject.title,
        "file": subject.file,
        "digest": subject.digest,
        "currency": subject.currency,
        "versions": dict(subject.versions),
    }


def _interval(found: Interval) -> dict[str, Any]:
    return {"mean": plain(found.mean), "low": plain(found.low), "high": plain(found.high)}


def said(warnings: Sequence[str], cautions: Sequence[Caution]) -> dict[str, Any]:
    """What every document says beside its numbers."""
    return {"warnings": list(warnings), "cautions": plain(cautions), "deference": DEFERENCE}
