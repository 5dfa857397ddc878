"""What is not known, and where numbers come from, in words and on the page."""

from __future__ import annotations

from dataclasses import replace
from math import nan
from pathlib import Path

from planner.report.documents import study_document
from planner.report.known import sections_of
from planner.report.origin_words import LONGEST, counts_words, origin_rows, origin_words
from planner.report.page.build import page
from planner.report.saving import read_study, save_study
from planner.report.unknown_words import RECORDS, unknown_rows, unknown_words
from planner.report.words import advice
from planner.scenario.origins import Origin, Origins
from planner.study import Study
from planner.study.unknown import Record, Told, Unknown, Unknowns
from tests.report.made import study, three

ORIGINS = Origins(
    (12, 30, 4, 100),
    60,
    (
        Origin(
            "melting.burner.efficiency_share", "0.4", "own records", "the burner: 34 records, least squares"
        ),
        Origin("owner.hours", "{sat: 08:00-17:00, " + "x" * 90 + "}", "your word", "town.yaml:9"),
        Origin("pewter.finds", "", "default", "assumed"),
    ),
)


def unknown(name: str, told: Told, worth: float, record: Record = "melts", **of: float) -> Unknown:
    records, share, noise = int(of.get("records", 5)), of.get("share", 0.2), of.get("noise", 10.0)
    return Unknown(name, "a.b", "times", "", records, "", 0.9, 1.1, record, share, worth, noise, told)


def unsure(*those: Unknown, share: float = 0.4, option: str = "bigger burner") -> Study:
    return replace(study(three()), unknowns=Unknowns(option, 250, share, those), origins=ORIGINS)


def test_the_advice_says_that_it_covers_what_is_not_known_and_what_to_record_next() -> None:
    found = unsure(
        unknown("<b>burner</b>", "worth it", 130.4),
        unknown("gap", "worth it", 90.0),
        unknown("price", "hardly", 1.0, records=0),
    )
    text = " ".join(advice(found))
    assert "3 inputs (1 without any record) are estimates, drawn anew in every world" in text
    assert "how sure this is and every range cover what is not known of them" in text
    assert 'About 40 parts in 100 of how widely the gain of "bigger burner" varies' in text
    assert "(approximate, from 250 worlds)" in text
    assert "To record next: melts: weights in, ingots out, hours, propane, wind." in text
    assert (
        'To know "<b>burner</b>" for sure before you choose would be worth about 130 EUR a year (approximate)'
        in text
    )
    assert 'then "gap".' in text


def test_where_no_record_would_change_the_choice_that_is_said() -> None:
    *_, said = unknown_words(unsure(unknown("burner", "hardly", 3.0)))
    assert said == (
        "No record would change this choice by much: to know any one of these inputs for sure is worth less than "
        "50 EUR a year (approximate)."
    )


def test_where_chance_would_feign_as_much_nothing_is_claimed() -> None:
    *_, said = unknown_words(
        unsure(unknown("burner", "cannot tell", 60.0, noise=80.0), unknown("b", "hardly", 0.0))
    )
    assert "cannot be told from 250 worlds: chance alone feigns up to 80 EUR a year" in said
    few = list(unknown_words(unsure(unknown("burner", "cannot tell", nan, noise=nan), share=nan)))
    assert "1 input is an estimate, drawn anew in every world" in few[0]
    assert "cannot be told from 250 worlds." in few[0]
    assert "cannot be told from 250 worlds; more worlds would tell" in few[1]


def test_a_study_of_what_is_known_says_nothing_of_that() -> None:
    assert list(unknown_words(study(three()))) == []
    assert list(sections_of(study(three()))) == []


def test_every_input_has_a_row() -> None:
    rows = list(
        unknown_rows(
            unsure(
                unknown("a", "worth it", 130.0),
                unknown("b", "cannot tell", nan, "", records=0, noise=nan, share=nan),
            )
        )
    )
    assert rows == [
        ("a", "5", "0.90 to 1.10 times", "20 in 100", "about 130 EUR a year", RECORDS["melts"]),
        ("b", "guess", "0.90 to 1.10 times", "n/a", "cannot be told", "measured or looked up once"),
    ]  # fmt: skip


def test_the_page_shows_both_and_escapes_names() -> None:
    unsure_of_it = unsure(unknown("<b>burner</b>", "worth it", 130.4))
    drawn = [one.chart.to_dict() for section in sections_of(unsure_of_it) for one in section.figures]
    assert [one["width"] for one in drawn] == ["container", "container"]
    text = page(unsure_of_it).decode()
    assert 'id="not-known"' in text
    assert 'id="origins"' in text
    assert "<b>burner" not in text
    assert "melting.<wbr>burner.<wbr>efficiency_share" in text
    assert "Where each of 2 values that matter most comes from" in text
    assert 'data-spec="unknowns-spec"' in text


def test_where_shares_cannot_be_told_there_is_a_table_and_no_chart() -> None:
    first, _ = sections_of(unsure(unknown("a", "cannot tell", nan, share=nan, noise=nan)))
    assert first.figures == ()
    assert first.rows[0][0] == "a"


def test_origins_are_counted_and_listed() -> None:
    assert counts_words(ORIGINS) == (
        "Of 146 values of the business: 12 from your records, 30 your word, 4 guesses and 100 defaults."
    )
    assert "60 of them are assumed or common practice" in list(origin_words(ORIGINS))[-1]
    rows = list(origin_rows(ORIGINS))
    assert [row[0] for row in rows] == ["melting.burner.efficiency_share", "owner.hours"]
    assert len(rows[1][2]) == LONGEST


def test_both_are_kept_with_the_study_and_lie_in_tables_of_their_own(tmp_path: Path) -> None:
    made = unsure(unknown("burner", "worth it", 130.4), unknown("b", "hardly", 0.0))
    names = {path.name for path in save_study(made, tmp_path)}
    assert {"estimates.csv", "origins.csv"} <= names
    back = read_study(tmp_path)
    assert (back.unknowns, back.origins) == (made.unknowns, made.origins)
    assert (tmp_path / "estimates.csv").read_text().splitlines()[1].endswith(",worth it,bigger burner")
    document = study_document(made)
    assert document["unknowns"]["ranked"][0]["worth"] == 130.4
    assert document["origins"]["counts"] == [12, 30, 4, 100]
