"""What `planner verify` finds, and that it would find what is wrong."""

from __future__ import annotations

import pytest

from planner.testing import queues, stock
from planner.testing.rows import MOST_BY_CHANCE, Row
from planner.testing.verify import ROWS

FAMILIES = [
    "queues",
    "Little's law",
    "books",
    "stock",
    "supply",
    "weather",
    "rates",
    "lifting",
    "heat",
    "one bucket",
]


def row(answers: tuple[Row, ...], begins: str) -> Row:
    (found,) = [one for one in answers if one.case.startswith(begins)]
    return found


def test_every_known_answer_is_met(answers: tuple[Row, ...]) -> None:
    assert [one for one in answers if not one.ok] == []


def test_as_many_are_met_as_are_promised_and_none_twice(answers: tuple[Row, ...]) -> None:
    assert len(answers) == ROWS >= 25
    assert len({(one.case, one.expected) for one in answers}) == ROWS
    assert list(dict.fromkeys(one.family for one in answers)) == FAMILIES
    assert all(one.source and one.allowed >= 0.0 for one in answers)


def test_the_false_alarm_is_shared_out_among_no_fewer_rows_than_there_are(answers: tuple[Row, ...]) -> None:
    by_chance = [one for one in answers if one.standard_error is not None]
    assert 20 <= len(by_chance) <= MOST_BY_CHANCE
    assert all(one.z is None for one in answers if one not in by_chance)


@pytest.mark.long
def test_waits_are_known_to_a_few_in_a_hundred(sharp_answers: tuple[Row, ...]) -> None:
    errors = {
        one.case: one.standard_error / one.expected
        for one in sharp_answers
        if one.family == "queues" and one.standard_error is not None
    }
    assert len(errors) == 7
    assert {case: error for case, error in errors.items() if error > 0.03} == {}


def test_lengths_of_queues_are_known_to_one_in_a_hundred(answers: tuple[Row, ...]) -> None:
    little = [one for one in answers if one.family == "Little's law"]
    assert len(little) == 5
    assert all(one.expected > 0.1 for one in little)
    assert all(one.standard_error is not None and one.standard_error < 0.01 * one.expected for one in little)


POTS = pytest.mark.parametrize(
    ("begins", "square"), [("M/D/1: the pot", 1.0), ("M/M/1", 2.0), ("M/G/1: the same", 1.48)]
)


def melts_longer(square: float, longer: float) -> float:
    """The wait, were melts so many times as long."""
    longer_h = longer * queues.MEAN_MELT_H
    return queues.pollaczek_khinchine_h(queues.GAP_H, longer_h, square * longer_h**2)


def sales_longer(longer: float) -> float:
    """The wait, were sales so many times as long."""
    longer_h = longer * queues.SALE_H
    return queues.pollaczek_khinchine_h(queues.SALE_H / queues.LOAD, longer_h, longer_h**2)


@POTS
def test_melts_that_take_fifteen_in_a_hundred_longer_would_be_found(
    answers: tuple[Row, ...], begins: str, square: float
) -> None:
    assert not row(answers, begins).against(melts_longer(square, 1.15)).ok


@pytest.mark.long
@POTS
def test_melts_that_take_a_twentieth_longer_would_be_found(
    sharp_answers: tuple[Row, ...], begins: str, square: float
) -> None:
    assert not row(sharp_answers, begins).against(melts_longer(square, 1.05)).ok


def test_sales_that_take_fifteen_in_a_hundred_longer_would_be_found(answers: tuple[Row, ...]) -> None:
    assert not row(answers, "M/D/1: buyers").against(sales_longer(1.15)).ok


@pytest.mark.long
def test_sales_that_take_a_twentieth_longer_would_be_found(sharp_answers: tuple[Row, ...]) -> None:
    assert not row(sharp_answers, "M/D/1: buyers").against(sales_longer(1.05)).ok


def test_buckets_that_come_as_if_at_random_would_be_found(answers: tuple[Row, ...]) -> None:
    wrong = queues.pollaczek_khinchine_h(queues.GAP_H, 1.0, 2.0)
    assert not row(answers, "D/M/1").against(wrong).ok


UNDER_WAY_H = 0.5 * (queues.SALE_H**2 / 2.0 + queues.MEAN_MELT_H**2 / 4.0)
IN_LINE_H = UNDER_WAY_H / (1.0 - queues.LOAD)
BY_PRIORITY = "M/G/1 by priority: one owner, buyers first, wait of"


def test_buyers_who_wait_in_line_with_buckets_would_be_found(answers: tuple[Row, ...]) -> None:
    assert not row(answers, f"{BY_PRIORITY} buyers").against(IN_LINE_H).ok


@pytest.mark.long
def test_buckets_that_wait_no_longer_than_buyers_would_be_found(sharp_answers: tuple[Row, ...]) -> None:
    assert not row(sharp_answers, f"{BY_PRIORITY} buckets").against(IN_LINE_H).ok


def test_a_kilogram_more_in_stock_would_be_found(answers: tuple[Row, ...]) -> None:
    for stock_kg in (5, 11):
        wrong = (stock.PRICE - stock.COST) * stock.BUYERS - stock.cost_of_chance(stock_kg + 1)
        assert not row(answers, f"a season's profit with {stock_kg} kg").against(wrong).ok


@pytest.mark.parametrize(
    ("begins", "wrong_share"),
    [
        ("kilograms that a shop fills in a year, mean", 1.05),
        ("kilograms that a shop fills in a year, variance", 0.7),  # were there as many buckets every year
        ("air temperature from hour to hour, variance", 1.2),
        ("air temperature from hour to hour, covariance with a day later", 0.75),  # spells of 48 h and not 72
        ("logarithm of the yard's price after 120 days, mean", 0.8),
        ("logarithm of the yard's price after 120 days, variance", 1.2),
        ("one bucket: propane", 1.0001),
        ("heat of fusion of zinc", 1.01),
        ("L of ingots", 1.01),
        ("L of buyers", 1.05),
    ],
)
def test_a_wrong_answer_is_no_match(answers: tuple[Row, ...], begins: str, wrong_share: float) -> None:
    right = row(answers, begins)
    assert not right.against(right.expected * wrong_share).ok
