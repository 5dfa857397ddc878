"""A fit as files and as one JSON document: the scenario that extends the old one, and the page of fits.

In: a ``Fit``. Out: files, a plain mapping. Must not know: how anything was estimated.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from planner.fit.estimate import Estimate
from planner.fit.fitting import Fit
from planner.fit.writing import written
from planner.report.fit_page import page
from planner.report.folder import OutputError, check_folder, write_folder
from planner.study import load

PAGE: Final = "fits.html"
ENDING: Final = "-fitted.yaml"


def place_for(scenario_file: Path, out: Path | None) -> Path:
    """Where the fitted scenario goes: beside the one it extends, under a name that nothing has yet.

    Raises
    ------
    planner.report.folder.OutputError
        It would lie elsewhere, or something is there already.
    """
    place = scenario_file.with_name(f"{scenario_file.stem}{ENDING}") if out is None else out
    if place.absolute().parent.resolve() != scenario_file.absolute().parent.resolve():
        raise OutputError(
            f"{place} lies elsewhere than {scenario_file}, and a scenario extends files of its own folder; name a file "
            f"in {scenario_file.parent}",
            True,
        )
    if place.suffix not in (".yaml", ".yml"):
        raise OutputError(f"{place} would not be read as a scenario; let its name end in .yaml", True)
    if os.path.lexists(place):
        raise OutputError(
            f"{place} is there already, and nothing is overwritten; name another file with --out, or remove that one",
            True,
        )
    check_folder(place.parent)
    return place


def save_fit(fit: Fit, place: Path, folder: Path) -> tuple[Path, ...]:
    """Write the scenario and the page; the scenario is read once before it gets its name.

    Raises
    ------
    planner.report.folder.OutputError
        In one plain sentence.
    planner.scenario.InputError
        What was estimated makes no possible business.
    """
    text = written(fit, fit.scenario.path.name).encode()
    drawn = page(fit, place)
    stage, name = tempfile.mkstemp(prefix=".planner-", suffix=".yaml", dir=place.parent)
    os.close(stage)
    try:
        Path(name).write_bytes(text)
        load(name)
    finally:
        Path(name).unlink()
    shown = write_folder(folder, {PAGE: drawn})
    return (*write_folder(place.parent, {place.name: text}), *shown)


def fit_document(fit: Fit, files: Sequence[Path] = ()) -> dict[str, Any]:
    """The document of ``planner fit``."""
    return {
        "scenario": {"title": fit.scenario.title, "file": fit.scenario.path.name},
        "first_day": fit.days[0].isoformat() if fit.days else None,
        "last_day": fit.days[1].isoformat() if fit.days else None,
        "rows": dict(fit.rows),
        "remarks": [str(one) for one in fit.remarks],
        "estimates": [_estimate(one) for one in fit.estimates],
        "untold": [{"name": one.name, "why": one.why} for one in fit.untold],
        "files": [str(path) for path in files],
    }


def _estimate(one: Estimate) -> dict[str, Any]:
    low, high = one.interval
    return {
        "name": one.name,
        "path": one.path,
        "way": one.way,
        "unit": one.unit,
        "was": one.before,
        "now": one.value,
        "low": low,
        "high": high,
        "sd": one.sd,
        "prior_sd": one.prior_sd,
        "records": one.records,
        "table": one.table,
        "method": one.method,
        "weak": one.is_weak,
        "about_more_would_tell": one.more,
        "note": one.note,
    }
