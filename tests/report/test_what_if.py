"""What other commands found stands on the page of the comparison that lies beside it."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from pathlib import Path

import pytest

from planner.report.grow_kept import save_growth
from planner.report.hinges_files import save_hinges
from planner.report.hinges_words import flips_words
from planner.report.ladder_files import save_ladder
from planner.report.ladder_words import stop_here
from planner.report.saving import PAGE, save_study, tell_beside
from planner.report.stress_files import save_stress
from planner.report.what_if import sections
from planner.scenario import Scenario
from planner.study import Study, compare, hinges_of, load
from planner.study.stress import stress
from planner.study.study import Subject
from tests.report.ladders import ladder
from tests.report.test_grow import growth, worth
from tests.study.dealt import Dealt, around
from tests.study.test_deciding import brings


@pytest.fixture(scope="module")
def market(root: Path) -> Scenario:
    return load(root / "tests" / "study" / "market.yaml")


@pytest.fixture(scope="module")
def chosen(market: Scenario) -> Study:
    return compare(market, engine=Dealt(brings(gift=500.0, charm=-200.0, own=20.0)))


def of(subject: Subject, study: Study) -> Subject:
    """A subject as if it were of this study."""
    return replace(subject, digest=study.subject.digest, seed=study.subject.seed)


def text(page: Path) -> str:
    return re.sub(r"<script.*?</script>", "", page.read_text(encoding="utf-8"), flags=re.S)


def test_a_page_tells_the_ladder_first_what_to_grow_and_how_far_things_may_change(
    market: Scenario, chosen: Study, tmp_path: Path
) -> None:
    save_study(chosen, tmp_path)
    assert "Next steps" not in text(tmp_path / PAGE)
    steps = ladder()
    steps = replace(steps, subject=of(steps.subject, chosen))
    more = growth(worth("one mould", "more", 90.0, 20.0))
    more = replace(more, subject=of(more.subject, chosen))
    asked = stress(market, engine=Dealt(brings(gift=500.0, charm=-200.0, own=20.0)), replicates=10)
    save_ladder(steps, tmp_path)
    save_growth(more, tmp_path)
    save_stress(asked, tmp_path)
    assert tell_beside((tmp_path / "stress.json",))[-1] == tmp_path / PAGE
    page = text(tmp_path / PAGE)
    first = page[: page.index('<nav aria-label="Sections">')]
    for label in ("Next steps", "It changes if"):
        assert f'<p class="label">{label}</p>' in first
    assert stop_here(steps, 0).split(" It changes")[0] in first
    assert stop_here(steps, 1).split(" if")[0] in first
    for key in ("steps", "a-little-more", "how-far"):
        assert f'<h2 id="{key}">' in page
        assert f'href="#{key}"' in page
    identities = re.findall(r' id="([^"]+)"', page)
    assert len(identities) == len(set(identities))


def test_a_page_tells_what_the_answer_hangs_on_and_where_another_option_overtakes_it(
    root: Path, chosen: Study, tmp_path: Path
) -> None:
    ranged = load(root / "tests" / "study" / "ranged.yaml")
    given = {"as today": 100.0, "gift": 300.0, "camp stove": 310.0, "lucky charm": 0.0}
    dealt = Dealt({name: around(mean) for name, mean in given.items()})
    hinges = hinges_of(ranged, "gift", replicates=1, points=8, engine=dealt)
    hinges = replace(hinges, subject=of(hinges.subject, chosen))
    save_study(chosen, tmp_path)
    save_hinges(hinges, tmp_path)
    tell_beside((tmp_path / "hinges.json",))
    page = text(tmp_path / PAGE)
    first = page[: page.index('<nav aria-label="Sections">')]
    assert "Where another overtakes it" in first
    (sentence,) = flips_words(hinges)
    assert html.escape(sentence, quote=False).replace('"', "&#34;") in first
    assert '<h2 id="hinges">' in page


def test_every_answer_has_its_chart_and_the_last_range_and_map_stand_on_the_page(
    market: Scenario, chosen: Study, tmp_path: Path
) -> None:
    save_study(chosen, tmp_path)
    hour, stops = "owner.hour_price=2 EUR/h..20 EUR/h", "fetching.stops=1..5"
    for ranges in ((), (hour,), (hour, stops)):
        dealt = Dealt(
            brings(gift=500.0, charm=-200.0, own=20.0), others=lambda option, world: {"hours_h": 40.0}
        )
        save_stress(stress(market, ranges, engine=dealt, replicates=10), tmp_path)
    found = {one.key: one for one in sections(tmp_path, chosen.subject)}
    assert list(found) == ["how-far", "along", "two-inputs"]
    assert [one.title.partition("along ")[2] for one in found["how-far"].figures] == [
        "the yard's prices",
        "the price of a bucket",
        "the lead share of a bucket",
        "the price of your hour",
    ]
    assert found["along"].title == "Along owner.hour_price"
    assert found["two-inputs"].said[0].startswith("The best of 25 places: A")
    tell_beside((tmp_path / "stress-map.json",))
    page = text(tmp_path / PAGE)
    identities = re.findall(r' id="([^"]+)"', page)
    assert {"along", "two-inputs", "stress-1", "stress-range", "stress-map"} <= set(identities)
    assert len(identities) == len(set(identities))


def test_what_was_found_with_other_chance_or_for_another_file_is_left_out(
    chosen: Study, tmp_path: Path
) -> None:
    steps = ladder()
    save_ladder(replace(steps, subject=replace(of(steps.subject, chosen), seed=99)), tmp_path)
    assert sections(tmp_path, chosen.subject) == ()
    save_ladder(replace(steps, subject=of(steps.subject, chosen)), tmp_path)
    assert [one.key for one in sections(tmp_path, chosen.subject)] == ["steps"]


def test_a_damaged_file_is_left_out_of_the_page(chosen: Study, tmp_path: Path) -> None:
    for name in ("ladder.json", "grow.json", "stress.json", "stress-range.json", "stress-map.json"):
        (tmp_path / name).write_text("{", encoding="utf-8")
    assert sections(tmp_path, chosen.subject) == ()


def test_without_a_study_beside_it_no_page_is_drawn(tmp_path: Path) -> None:
    files = save_ladder(ladder(), tmp_path)
    assert tell_beside(files) == files
    assert not (tmp_path / PAGE).exists()
