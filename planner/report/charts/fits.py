"""What each estimate was seen in: the records, the curve of the scenario before, the curve that was fitted.

In: an ``Estimate``. Out: a ``Figure``, or None where there is nothing to draw. Must not know: pages; it computes
nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import altair as alt

from planner.fit.estimate import Estimate, FloatArray, Picture
from planner.report.charts.figure import BLACK, BLUE, GREY, Figure, Mark, amounts, data, finished

BEFORE: Final = Mark("as the scenario said", GREY, "┅")
NOW: Final = Mark("as fitted", BLUE, "━")
SEEN: Final = Mark("your records", BLACK, "●")
HEIGHT_PX: Final = 170


def draw(key: str, one: Estimate, title: str) -> Figure | None:
    """Points or bars, and the curves before and now, with the band in which nine of ten records are expected."""
    seen = one.picture
    if seen is None or not seen.x.size:
        return None
    if seen.names:
        return _of_names(key, one, seen, title)
    curves = _rows(seen)
    points = [{"x": x, "y": y} for x, y in zip(seen.x.tolist(), seen.y.tolist(), strict=True)]
    zero = seen.kind == "counts"
    x = alt.X("x:Q", axis=amounts(seen.x_title), scale=alt.Scale(zero=False, nice=True))
    upwards, scale = alt.Axis(title=seen.y_title, tickCount=4), alt.Scale(zero=zero)
    y = alt.Y("y:Q", axis=upwards, scale=scale)
    layers: list[Any] = []
    if seen.low_y.size:
        band = alt.Chart(data([row for row in curves if row["which"] == NOW.label]))
        layers.append(
            band.mark_area(opacity=0.15, color=BLUE).encode(
                x=x, y=alt.Y("low:Q", axis=upwards, scale=scale), y2=alt.Y2("high:Q")
            )
        )
    tips = [
        alt.Tooltip("x:Q", title=seen.x_title, format=".4g"),
        alt.Tooltip("y:Q", title=seen.y_title, format=".4g"),
    ]
    mark = alt.Chart(data(points))
    if zero:
        layers.append(mark.mark_bar(color=BLACK, opacity=0.3, size=14).encode(x=x, y=y, tooltip=tips))
    else:
        layers.append(
            mark.mark_point(color=BLACK, filled=True, size=26, opacity=0.75).encode(x=x, y=y, tooltip=tips)
        )
    for told, dash in ((BEFORE, [5, 4]), (NOW, [1, 0])):
        rows = [row for row in curves if row["which"] == told.label]
        if rows:
            line = alt.Chart(data(rows)).mark_line(color=told.colour, strokeDash=dash, strokeWidth=2.2)
            layers.append(line.encode(x=x, y=y))
    return Figure(
        key,
        title,
        _how(seen, one),
        finished(alt.layer(*layers), HEIGHT_PX),
        (seen.x_title, seen.y_title),
        _table(seen),
        (Mark(SEEN.label, GREY if zero else BLACK, "■" if zero else "●"), BEFORE, NOW),
    )


def _of_names(key: str, one: Estimate, seen: Picture, title: str) -> Figure:
    """A bar for each name, and where it was thought to end before and is now."""
    x = alt.X("name:N", sort=list(seen.names), axis=alt.Axis(title=seen.x_title, labelAngle=0))
    y = alt.Y("y:Q", axis=alt.Axis(title=seen.y_title, tickCount=4))
    tips = [alt.Tooltip("name:N", title=seen.x_title), alt.Tooltip("y:Q", title=seen.y_title, format=".4g")]

    def there(values: FloatArray) -> alt.Chart:
        rows = [{"name": name, "y": y} for name, y in zip(seen.names, values.tolist(), strict=True)]
        return alt.Chart(data(rows))

    layers = [
        there(seen.y).mark_bar(color=BLACK, opacity=0.3, width={"band": 0.6}),
        there(seen.before_y).mark_tick(color=BEFORE.colour, thickness=2, width={"band": 0.8}),
        there(seen.fitted_y).mark_tick(color=NOW.colour, thickness=3, width={"band": 0.6}),
    ]
    return Figure(
        key,
        title,
        f"Bars: your records. Thin mark: as the scenario said. Thick mark: as fitted, by {one.method}.",
        finished(alt.layer(*(layer.encode(x=x, y=y, tooltip=tips) for layer in layers)), HEIGHT_PX),
        (seen.x_title, seen.y_title, NOW.label, BEFORE.label),
        [
            (name, *(f"{y:.4g}" for y in ys))
            for name, *ys in zip(seen.names, seen.y, seen.fitted_y, seen.before_y, strict=True)
        ],
        (Mark(SEEN.label, GREY, "■"), Mark(BEFORE.label, GREY, "━"), Mark(NOW.label, BLUE, "━")),
    )


def _rows(seen: Picture) -> list[dict[str, Any]]:
    rows = []
    for which, values in ((BEFORE.label, seen.before_y), (NOW.label, seen.fitted_y)):
        for number, (x, y) in enumerate(zip(seen.curve_x.tolist(), values.tolist(), strict=False)):
            row = {"which": which, "x": x, "y": y}
            if which == NOW.label and seen.low_y.size:
                row |= {"low": float(seen.low_y[number]), "high": float(seen.high_y[number])}
            rows.append(row)
    return rows


def _how(seen: Picture, one: Estimate) -> str:
    marks = "Bars" if seen.kind == "counts" else "Points"
    band = " Band: where nine of ten are expected." if seen.low_y.size else ""
    return (
        f"{marks}: your records. Broken line: as the scenario said. Line: as fitted, by {one.method}.{band}"
    )


def _table(seen: Picture) -> Sequence[tuple[str, str]]:
    return [(f"{x:.4g}", f"{y:.4g}") for x, y in zip(seen.x.tolist(), seen.y.tolist(), strict=True)]
