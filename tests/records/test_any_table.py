"""Whatever stands in a table, it is read or told; nothing else comes of it."""

from __future__ import annotations

import csv
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.records.reading import read
from planner.records.tables import TABLES, Table
from planner.scenario import InputError

ODD = [
    "", "-", "0", "-1", "1e400", "9" * 400, "1,234", "1.234,5", "1,2,3", "5-10", "0x10", "NaN", "inf",
    "3h 20min", "99:59", "3:20", "25:00", "5 pm", "55 lb", "55 lbs.", "4.2 EUR/lb", "€4,20", "$ 5", "5 USD",
    "£/kg", "41 °F", "2026-03-07", "07/03/26", "31.02.2026", "13/13/2026", "2026-03", "Mar 2026", "46095",
    "0000-00-00", "yes", "maybe", "casters", "clips", "'", '"', "=1+1", "#N/A", "½", "٣", "²", "1 000",
    "1\u00a0000,5", "1'000", "+5", "--5", "5.-", "/", "per kg", "kg", "(", "[kg]",
]  # fmt: skip
cells = st.one_of(st.sampled_from(ODD), st.text(max_size=8), st.floats(0, 100).map("{:.1f}".format))


@st.composite
def written(draw: st.DrawFn) -> tuple[Table, str]:
    table = draw(st.sampled_from(list(TABLES.values())))
    names = [one.name for one in table.columns]
    units = st.sampled_from(["", "", "", " [kg]", " (lb)", " [EUR/kg]", " h", " (", " [x]"])
    some = draw(st.one_of(st.just(names), st.lists(st.one_of(st.sampled_from(names), cells), max_size=8)))
    headings = [f"{name}{draw(units)}" for name in some]
    good = st.tuples(*(st.one_of(st.just(one.example), cells) for one in table.columns)).map(list)
    rows = draw(st.lists(st.one_of(good, st.lists(cells, max_size=12)), max_size=8))
    out = StringIO()
    csv.writer(out, delimiter=draw(st.sampled_from(",;\t"))).writerows([headings, *rows])
    return table, out.getvalue()


@settings(max_examples=80)
@given(written(), st.sampled_from(["EUR", None]))
def test_any_table_is_read_or_told(found: tuple[Table, str], currency: str | None) -> None:
    table, text = found
    with TemporaryDirectory() as place:
        Path(place, f"{table.name}.csv").write_text(text, encoding="utf-8", errors="replace", newline="")
        try:
            frame = read(Path(place), currency)[table.name]
        except InputError:
            return
    for column in table.columns:
        if column.needed:
            assert frame[column.key].notna().all()
        if frame[column.key].dtype.kind == "f":
            assert np.isfinite(frame[column.key].dropna()).all(), column.name
