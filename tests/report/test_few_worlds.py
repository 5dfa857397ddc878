from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from planner.report.page import tables
from planner.report.page.build import figures, page
from planner.report.phrases import TOLD_FROM, too_few
from planner.report.terminal import options_table
from planner.report.terminal_option import one_option
from planner.scenario import Scenario
from planner.study import Study, run
from tests.report.made import study, three
from tests.report.test_terminal import shown

SENTENCE = "worlds are too few to say how sure a mean is: ranges are told from 10 on."


def cells(made: Study) -> dict[str, str]:
    (row,) = (row for row in tables.option_rows(made) if row.name == "bigger burner")
    return dict(zip(tables.option_columns(made), row.cells, strict=True))


def lines(spec: dict[str, Any]) -> Iterator[tuple[float, float]]:
    """Ends of what a chart draws from low to high."""
    for layer in spec["layer"]:
        if "x2" in layer["encoding"]:
            yield from ((row["low"], row["high"]) for row in layer["data"]["values"])


def test_the_table_of_options_tells_no_range_of_a_few_worlds_and_says_why() -> None:
    few, enough = study(three(TOLD_FROM - 1)), study(three(TOLD_FROM))
    assert cells(few)["from … to"] == "n/a"
    assert cells(enough)["from … to"].startswith("+")
    gain = few.difference("bigger burner", "profit_after_hours").mean
    assert cells(few)["EUR a year more"] == f"{gain:+.0f}"
    assert f"9 {SENTENCE}" in page(few).decode("utf-8")
    assert SENTENCE not in page(enough).decode("utf-8")
    assert too_few(1) == "1 world is too few to say how sure a mean is: ranges are told from 10 on."


def test_every_figure_has_its_mean_and_no_range() -> None:
    told = tables.every_figure(study(three(4)))["options"]["bigger burner"]
    assert told
    for _, mean, low, high, more, more_low, more_high in told:
        assert (low, high, more_low, more_high) == ("n/a",) * 4
        assert "n/a" not in (mean, more)


def test_charts_draw_no_line_and_their_tables_have_no_range() -> None:
    for n, drawn in ((TOLD_FROM - 1, False), (TOLD_FROM, True)):
        charts = figures(study(three(n)))
        for one in (*charts["options"], charts["money"][0]):
            ends = list(lines(one.chart.to_dict()))
            assert ends
            assert any(low != high for low, high in ends) == drawn, one.key
            assert any("n/a" in row for row in one.rows) != drawn, one.key
        (gains,) = charts["options"]
        assert ("Line:" in gains.how) == drawn
        (hours,) = (one for one in charts["money"] if one.key == "hours")
        assert any(" to " in cell for row in hours.rows for cell in row) == drawn


def test_months_of_a_few_worlds_are_lines_without_a_band(garden_study: Study, garden_outlooks: Study) -> None:
    for made, drawn in ((garden_study, False), (garden_outlooks, True)):
        cash = figures(made)["courses"][0]
        spec = cash.chart.to_dict()
        assert ("layer" in spec) == drawn
        assert ("Band:" in cash.how) == drawn
        assert ("n/a" in {cell for row in cash.rows for cell in row}) != drawn
        held = figures(made)["limits"][0]
        assert any(" to " in cell for row in held.rows for cell in row) == drawn


def test_the_terminal_tells_no_range_of_a_few_worlds_either(garden: Scenario) -> None:
    few = " ".join(shown([options_table(study(three(4)), "expected")]).split())
    assert f"4 {SENTENCE}" in few
    assert " ... +" not in few
    assert SENTENCE not in " ".join(shown([options_table(study(three(10)), "expected")]).split())
    played = " ".join(shown(one_option(run(garden, replicates=2), ())).split())
    assert f"2 {SENTENCE}" in played
    assert " from to " not in played
