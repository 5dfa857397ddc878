from __future__ import annotations

import re
from typing import get_args

import pytest

from planner.trade.exposure import LIMITS, limit
from planner.trade.safety import CAUTIONS, DEFERENCE, Caution, Work, cautions_for

NOTHING: dict[str, bool] = dict.fromkeys(get_args(Work), False)
EACH = pytest.mark.parametrize("caution", CAUTIONS, ids=lambda caution: caution.key)

# what must be said, and a word of it that cannot be missing
SUBJECTS = {
    "water": "wet or icy scrap",
    "pot": "stand",
    "respirator": "half mask",
    "dust": "never sweep",
    "hygiene": "wash hands",
    "family": "children",
    "blood": "blood lead",
    "air": "carbon monoxide alarm",
    "cylinder": "propane sinks",
    "thermometer": "zinc",
    "attend": "until the metal is solid",
    "burns": "face shield",
    "lifting": "half-fill",
    "vehicle": "payload",
    "waste": "dross",
    "dealing": "permit",
    "helper": "blood tests at your cost",
}


def keys(**work: bool) -> set[str]:
    return {caution.key for caution in cautions_for(**{**NOTHING, **work})}


def test_every_subject_of_safety_has_its_caution() -> None:
    assert {caution.key for caution in CAUTIONS} == set(SUBJECTS)
    assert len(CAUTIONS) == len(SUBJECTS)
    for caution in CAUTIONS:
        assert SUBJECTS[caution.key] in caution.text.lower()


@EACH
def test_a_caution_is_short_plain_and_says_where_it_comes_from(caution: Caution) -> None:
    assert 40 < len(caution.text) < 400
    assert caution.text.endswith(".")
    assert len(caution.title.split()) <= 5
    assert caution.source
    assert set(caution.when) <= set(get_args(Work))
    assert caution.when


@EACH
def test_a_named_limit_is_a_published_one(caution: Caution) -> None:
    """Every number beside a unit of exposure stands among the published limits."""
    units = {row.unit for row in LIMITS}
    for value, unit in re.findall(r"([\d.]+) (ug/m3|ug/dL|mg/m3|mg/L|ppm|lb of water)", caution.limit):
        assert unit in units
        assert float(value) in {row.value for row in LIMITS if row.unit == unit}
    assert bool(caution.limit) or "practice" in caution.source or "local rules" in caution.source


def test_air_lead_blood_lead_and_carbon_monoxide_are_named_with_their_limits() -> None:
    by_key = {caution.key: caution for caution in CAUTIONS}
    for key, row in (("respirator", "permissible"), ("blood", "elevated adult"), ("air", "carbon monoxide")):
        assert f"{limit(row).value:g} {limit(row).unit}" in by_key[key].limit
        assert limit(row).source in by_key[key].source


def test_whoever_only_drives_buckets_to_the_yard_hears_of_load_and_lifting_and_not_of_the_pot() -> None:
    said = keys(drives=True, lifts=True, sells=True)
    assert {"vehicle", "lifting", "hygiene", "family", "dealing"} == said


def test_melting_brings_the_cautions_of_the_pot() -> None:
    said = keys(melts=True)
    assert {"water", "pot", "burns", "attend", "air", "cylinder", "thermometer", "blood", "waste"} <= said
    assert not {"lifting", "vehicle", "helper", "dust"} & said


def test_sorting_brings_dust_and_a_helper_brings_duties() -> None:
    assert "dust" in keys(sorts=True)
    assert keys(helper=True) == {"helper"}


def test_nothing_done_is_nothing_said_and_everything_done_is_everything_in_order() -> None:
    assert keys() == set()
    assert cautions_for(**dict.fromkeys(NOTHING, True)) == CAUTIONS


def test_the_last_word_is_with_local_codes_and_licensed_practice() -> None:
    assert "local codes" in DEFERENCE
    assert "licensed practice" in DEFERENCE
