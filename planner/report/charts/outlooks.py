"""Options beside outlooks: what each brings if it comes so, and what one would regret.

In: a ``Study``. Out: a ``Figure``. Must not know: pages; it computes nothing.
"""

from __future__ import annotations

import altair as alt
import numpy as np

from planner.report.charts.figure import BLACK, ROOM, Figure, data, finished, option_axis, rows_px
from planner.report.phrases import told
from planner.report.units import number
from planner.study import Study


def draw(study: Study) -> Figure | None:
    """Money by option and outlook, coloured by regret; None where only one outlook was played, or all is refused."""
    found, names = study.outlook_map, study.ranked()
    if len(study.outlooks) < 2 or bool(np.isnan(found.regret).all()):
        return None
    rows, texts = [], []
    for name in names:
        o, line = study.row(name), [name]
        for w, outlook in enumerate(study.outlooks):
            value, regret = float(found.value[o, w]), float(found.regret[o, w])
            refused = bool(study.refusals[name, outlook])
            level = told(study.level(name, study.findings.measure, outlook))
            known = not refused and level.low == level.low
            span = f" ({number(level.low)} to {number(level.high)})" if known else ""
            shown = "refused" if refused else f"{number(value)}{span}"
            rows.append(
                {
                    "option": name,
                    "outlook": outlook,
                    "text": "x" if refused else number(value),
                    "regret": None if regret != regret else regret,
                    "tip": shown,
                    "best": bool(regret == 0.0),
                }
            )
            line.append(f"{shown} (best)" if regret == 0.0 and not refused else shown)
        texts.append(line)
    base = alt.Chart(data(rows)).encode(
        y=option_axis(names),
        x=alt.X(
            "outlook:N",
            sort=list(study.outlooks),
            title=None,
            axis=alt.Axis(orient="top", labelAngle=-35, labelLimit=170, ticks=False, domain=False),
        ),
        tooltip=[
            alt.Tooltip("option:N", title="Option"),
            alt.Tooltip("outlook:N", title="Outlook"),
            alt.Tooltip("tip:N", title=f"{study.subject.currency} {study.subject.period} after your hours"),
            alt.Tooltip("regret:Q", format=",.0f", title="less than the best there"),
        ],
    )
    colour = alt.Color(
        "regret:Q",
        scale=alt.Scale(type="sqrt", range=["#FFFFFF", "#FBE3C0", "#E69F00"], domainMin=0.0),
        legend=None,
    )
    cells = base.mark_rect(stroke=BLACK).encode(
        color=colour, strokeWidth=alt.condition("datum.best", alt.value(2), alt.value(0.2))
    )
    words = base.mark_text(fontSize=11, color=BLACK).encode(text=alt.Text("text:N"))
    return Figure(
        "outlooks",
        "Each option under each outlook",
        f"Number: {study.subject.currency} {study.subject.period} after your hours are priced. Framed: the best under "
        "that outlook. The darker, the more you would regret it: that much less than the framed one. x: refused there.",
        finished(cells + words, rows_px(names)).properties(padding=ROOM),
        ("Option", *study.outlooks),
        texts,
        least_px=150 + 56 * len(study.outlooks),
    )
