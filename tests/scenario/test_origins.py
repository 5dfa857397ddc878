"""Where each value of a business comes from."""

from __future__ import annotations

from pathlib import Path

from planner.scenario.origins import Origin, Origins, origins_of
from tests.scenario.stand_in import load_text

TEXT = """
moulds: {a: {diameter: 12 cm}}
demand: [{name: casters, model: core.people, settings: {people: 5, pays: {normal: {mean: 2 EUR/kg, sd: 0.1 EUR/kg}}}}]
ranges: {dry: 'melting.dry=2 days..5 days'}
estimates:
  what they pay: {path: demand.casters.settings.pays.normal.mean, sd: 0.1, records: 7, method: sales}
  gain: {path: melting.gain, sd: 0.01}
"""


def by_path(found: Origins) -> dict[str, Origin]:
    return {one.path: one for one in found.main}


def test_every_value_has_one_origin(tmp_path: Path) -> None:
    found = origins_of(load_text(tmp_path, TEXT))
    counts = found.by_source
    # title and currency are no values of the business; power, a mould's diameter, people
    assert counts["your word"] == 3
    assert (counts["own records"], counts["guess"]) == (1, 1)
    assert sum(found.counts) > 20
    assert counts["default"] == sum(found.counts) - 5


def test_what_records_told_is_the_owners_own(tmp_path: Path) -> None:
    one = by_path(origins_of(load_text(tmp_path, TEXT)))["demand.casters.settings.pays"]
    assert (one.source, one.told) == ("own records", "what they pay: 7 records, sales")
    assert one.value == "{normal: {mean: 2 EUR/kg, sd: 0.1 EUR/kg}}"


def test_an_estimate_without_records_is_a_guess_though_the_default_stands(tmp_path: Path) -> None:
    one = by_path(origins_of(load_text(tmp_path, TEXT)))["melting.gain"]
    assert (one.source, one.told, one.value) == ("guess", "gain: no records", "1.25")


def test_what_a_file_writes_is_the_owners_word_with_its_line(tmp_path: Path) -> None:
    one = by_path(origins_of(load_text(tmp_path, TEXT)))["demand.casters.settings.people"]
    assert (one.source, one.told, one.value) == ("your word", "test.yaml:6", "5")


def test_what_stands_in_the_file_extended_is_the_owners_word_too(tmp_path: Path) -> None:
    load_text(tmp_path, "bucket: 40 kg\nranges: {buckets: 'bucket=30 kg..40 kg'}", name="base.yaml")
    child = load_text(
        tmp_path, "melting: {dry: 3 days}" + TEXT, "title: B\ncurrency: EUR\nextends: base.yaml\n"
    )
    found = origins_of(child)
    assert by_path(found)["melting.dry"].source == "your word"
    assert found.by_source["guess"] == 1  # the estimate without records
    assert by_path(found)["bucket"].source == "your word"
    assert by_path(found)["bucket"].told.startswith("base.yaml:")


def test_a_value_that_might_as_well_be_otherwise_matters_though_it_is_left_out(tmp_path: Path) -> None:
    one = by_path(origins_of(load_text(tmp_path, TEXT)))["melting.dry"]
    assert (one.source, one.told, one.value) == ("default", "", "5 days")


def test_defaults_carry_their_own_mark() -> None:
    from planner.study import load

    found = origins_of(load(Path(__file__).parents[1] / "study" / "garden.yaml"))
    assert found.by_source["own records"] == found.by_source["guess"] == 0
    marks = {one.told for one in found.main if one.source == "default"}
    assert marks <= {"", "assumed", "common practice"}
    assert 50 < found.assumed < found.by_source["default"]
