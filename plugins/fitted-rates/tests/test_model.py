"""What the yard pays in drawn worlds, against theory; what a scenario writes; what is told of a file."""

from __future__ import annotations

import math
import pickle
import subprocess
import sys
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from planner.plugin.protocol import Provider
from planner.world.draw import Draw
from planner.world.inspection import inspect
from planner.world.parts import GOODS, Horizon, Rates
from planner_fitted_rates import planner_models
from planner_fitted_rates.model import FittedRates, build, shocks
from planner_fitted_rates.prices import read_day, read_prices
from planner_fitted_rates.process import Process, Shocks
from planner_fitted_rates.settings import FittedSettings

TRUE = Process(math.log(2.0), 0.4, 0.25)
YEAR = Horizon(date(2026, 1, 1), 365, 45.0)
LONG = Horizon(date(2026, 1, 1), 60_000, 45.0)


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory, series: Callable[..., np.ndarray]) -> Path:
    """A folder with weekly prices of eighteen years up to 2025-12-25, and a fall in 2015."""
    folder = tmp_path_factory.mktemp("prices")
    log_price = series(TRUE, 939, 7 / 365, 2)
    log_price[400:] += -0.35 * TRUE.keeps(7 / 365) ** np.arange(540)
    days = [date(2025, 12, 25) - timedelta(days=7 * (939 - row)) for row in range(940)]
    rows = [f"{day},{math.exp(value) * 1000:.6f}" for day, value in zip(days, log_price, strict=True)]
    (folder / "prices.csv").write_text("date,price [EUR/t]\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return folder


def model(folder: Path, **changes: Any) -> FittedRates:
    settings = {"file": "prices.csv"} | changes
    return build(FittedSettings.model_validate(settings, context={"folder": folder, "currency": "EUR"}))


def metal(folder: Path, replicate: int = 0, horizon: Horizon = YEAR, **changes: Any) -> np.ndarray:
    return model(folder, **changes).metal_per_kg(Draw(9, replicate), horizon)


def logs(values: np.ndarray) -> tuple[float, float, float]:
    """Mean and standard deviation of a series after its first ten years, and what it remembers from day to day."""
    settled = np.log(values[3650:])
    return float(settled.mean()), float(settled.std()), float(np.corrcoef(settled[:-1], settled[1:])[0, 1])


@pytest.mark.parametrize("sudden", [0, 3])
def test_prices_have_the_mean_the_variance_and_the_half_life_of_the_process(
    folder: Path, sudden: int
) -> None:
    changes = {"shocks": {"number": f"{sudden} per year", "mean_share": -0.2, "sd_share": 0.1}}
    process = model(folder, **changes).process
    runs = [metal(folder, number, LONG, **changes) for number in range(4)]
    mean, sd, remembers = np.mean([logs(run) for run in runs], axis=0)
    independent = 4 * (LONG.days - 3650) * process.pull / 365 / 2
    expected_sd = process.log_sd(math.inf)
    assert mean == pytest.approx(
        process.expected_log(0.0, math.inf), abs=4 * expected_sd / math.sqrt(independent)
    )
    assert sd == pytest.approx(expected_sd, rel=4 / math.sqrt(independent))
    assert -math.log(2.0) / math.log(remembers) == pytest.approx(365 * process.half_life_years, rel=0.1)
    prices = np.concatenate([run[3650:] for run in runs])
    error = prices.std() / math.sqrt(independent)
    assert prices.mean() == pytest.approx(process.mean_price(), abs=4 * error)


def test_the_spread_after_some_days_is_that_of_the_process(folder: Path) -> None:
    one = model(folder)
    later = np.log([one.metal_per_kg(Draw(9, number), YEAR)[90] for number in range(800)])
    start = math.log(one.prices.per_kg[-1])
    years = 97 / 365
    assert later.mean() == pytest.approx(
        one.process.expected_log(start, years), abs=4 * later.std() / math.sqrt(800)
    )
    assert later.std() == pytest.approx(one.process.log_sd(years), rel=4 / math.sqrt(1600))


def test_half_of_a_departure_has_gone_after_the_half_life(folder: Path) -> None:
    one = model(folder)
    days = round(365 * one.process.half_life_years)
    expected = one.process.expected_log(one.process.mean_log + 1.0, days / 365) - one.process.mean_log
    still = expected - one.process.expected_log(one.process.mean_log, days / 365) + one.process.mean_log
    assert still == pytest.approx(0.5, abs=0.01)


def test_so_many_shocks_come_a_year_and_they_are_so_large() -> None:
    of = Shocks(a_year=40.0, mean=-0.2, sd=0.05)
    sums = shocks(of, Draw(3, 0).uniform("shocks", (40_000, 2)))
    a_day = 40.0 / 365
    variance = a_day * (0.2**2 + 0.05**2)
    assert sums.mean() == pytest.approx(-0.2 * a_day, abs=4 * math.sqrt(variance / sums.size))
    assert sums.var() == pytest.approx(variance, rel=0.06)
    assert np.mean(sums == 0.0) == pytest.approx(math.exp(-a_day), abs=0.006)
    assert (shocks(Shocks(), Draw(3, 0).uniform("shocks", (100, 2))) == 0.0).all()


def test_a_little_more_of_anything_moves_the_same_days_a_little(folder: Path) -> None:
    sudden = {"number": "2 per year", "mean_share": -0.2}
    one = np.diff(np.log(metal(folder, shocks=sudden)))
    slower = np.diff(np.log(metal(folder, shocks=sudden, mean_times=1.1)))
    more = np.diff(np.log(metal(folder, shocks={**sudden, "number": "2.2 per year"})))
    assert np.corrcoef(one, slower)[0, 1] > 0.999
    assert np.mean(np.abs(more - one) > 0.1) <= 2 / 364
    fallen = one < -0.12
    assert fallen.any()
    assert (more[fallen] < -0.12).all()


def test_a_longer_horizon_only_adds_days(folder: Path) -> None:
    short, long = metal(folder), metal(folder, horizon=Horizon(YEAR.start, 800, 45.0))
    np.testing.assert_array_equal(short, long[:365])


def test_a_world_starts_where_the_file_ended(folder: Path) -> None:
    one = model(folder)
    prices = one.prices
    on_the_day = Horizon(prices.days[-1], 30, 45.0)
    starts = [one.metal_per_kg(Draw(9, number), on_the_day)[0] for number in range(3)]
    assert starts == [pytest.approx(prices.per_kg[-1])] * 3
    years_later = Horizon(date(2045, 1, 1), 30, 45.0)
    late = np.log([one.metal_per_kg(Draw(9, number), years_later)[0] for number in range(400)])
    assert late.std() == pytest.approx(one.process.log_sd(math.inf), rel=4 / math.sqrt(800))
    halfway = Horizon(prices.days[500], 30, 45.0)
    assert metal(folder, horizon=halfway)[0] == pytest.approx(prices.per_kg[500])
    assert metal(folder, start_times=1.5)[0] == pytest.approx(1.5 * prices.per_kg[-1])


def test_the_mean_in_the_long_run_is_what_was_asked_for(folder: Path) -> None:
    one = model(folder, mean_times=1.25)
    assert one.process.mean_price() == pytest.approx(1.25 * one.prices.per_kg[-1])


def test_a_good_follows_the_metal_by_its_share(folder: Path) -> None:
    rates = model(
        folder,
        lead={"paid": "1.5 EUR/kg"},
        zinc={"paid": "1 EUR/kg", "follows_share": 0.5},
        dross={"paid": "0 EUR/kg"},
    ).draw(Draw(9, 0), YEAR)
    times = rates.per_kg["lead"] / 1.5
    np.testing.assert_allclose(times, metal(folder) / model(folder).prices.per_kg[-1])
    np.testing.assert_allclose(rates.per_kg["zinc"], 0.5 + 0.5 * times)
    assert (rates.per_kg["steel"] == 0.15).all()
    assert (rates.per_kg["dross"] == 0.0).all()


def test_a_metal_that_loses_a_fifth_a_year_ends_a_fifth_lower(folder: Path) -> None:
    ratio = metal(folder, trend_a_year_share=-0.2) / metal(folder)
    assert ratio[0] == 1.0
    assert ratio[-1] == pytest.approx(0.8 ** (364 / 365))


def test_worlds_are_sound_paired_and_change_nothing_elsewhere(folder: Path) -> None:
    one = model(folder)
    rates = one.draw(Draw(9, 1), YEAR)
    inspect(rates, Rates, YEAR)
    again = pickle.loads(pickle.dumps(one)).draw(Draw(9, 1), YEAR)
    assert all(np.array_equal(rates.per_kg[good], again.per_kg[good]) for good in GOODS)
    assert not np.array_equal(rates.per_kg["lead"], one.draw(Draw(9, 2), YEAR).per_kg["lead"])


def test_what_was_fitted_is_told_with_its_errors(folder: Path) -> None:
    note = model(folder).note
    assert note.startswith("prices.csv: 940 prices, weekly, 2007-12-27 to 2025-12-25.")
    for words in (
        "(standard error",
        "Half of a departure has gone after",
        "95 %",
        "1 shock beyond 4.",
        "up to 2015-08-27 -",
    ):
        assert words in note
    quiet = model(folder, shocks={"number": "0 per year"}).note
    assert "no shocks" in quiet


def test_a_half_life_that_is_not_told_is_said(folder: Path, tmp_path: Path) -> None:
    rows = (folder / "prices.csv").read_text(encoding="utf-8").splitlines()
    (tmp_path / "prices.csv").write_text("\n".join(rows[:40]) + "\n", encoding="utf-8")
    one = model(tmp_path, half_life="300 days")
    assert "cannot be told from so few years" in one.note
    assert "half-life of the settings is kept, 300 days" in one.note
    assert one.process.half_life_years == pytest.approx(300 / 365)


@pytest.mark.parametrize(
    ("settings", "told"),
    [
        ({}, "Field required"),
        ({"file": "none.csv"}, "there is no file 'none.csv'"),
        ({"file": "prices.csv", "half_life": "0 days"}, "greater than 0"),
        (
            {"file": "prices.csv", "lead": {"paid": "1 EUR/kg", "follows_share": 1.5}},
            "less than or equal to 1",
        ),
        ({"file": "prices.csv", "lead": {"follows_share": 1}}, "Field required"),
        ({"file": "prices.csv", "shocks": {"number": "2"}}, "has no unit"),
        ({"file": "prices.csv", "false_alarm_share": 0}, "greater than 0"),
    ],
)
def test_a_setting_that_makes_no_sense_is_refused(folder: Path, settings: dict[str, Any], told: str) -> None:
    with pytest.raises(ValidationError) as caught:
        FittedSettings.model_validate(settings, context={"folder": folder, "currency": "EUR"})
    assert told in str(caught.value)


MONTHS = [f"{2000 + i // 12}-{i % 12 + 1:02d},{2 + i % 5 / 10}" for i in range(60)]


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (
            ["date,price"],
            "prices.csv:1: column 'price' has no unit; it is a price per mass, headed such as price [EUR/kg]",
        ),
        (["date,price [kg]"], "prices.csv:1: column 'price': "),
        (
            ["day,price [EUR/t]", "2000-01,3"],
            "prices.csv:1: there is no column 'date'; its columns are day, price",
        ),
        (["date,cost [EUR/t]"], "prices.csv:1: there is no column 'price'"),
        (["date,price [EUR/t]", *MONTHS[:20]], "prices.csv:1: 20 prices are too few"),
        (["date,price [EUR/t]", *MONTHS[:5], "2000-06-31,3"], "prices.csv:7: '2000-06-31' is no date"),
        (["date,price [EUR/t]", *MONTHS[:5], "2000-05,3"], "prices.csv:7: 2000-05-01 comes after 2000-05-01"),
        (["date,price [EUR/t]", *MONTHS[:5], "2000-06,0"], "prices.csv:7: a price must be above 0"),
        (
            ["date;price [EUR/t]", "2000-01;1,95"],
            "prices.csv:2: '1,95' in column 'price' is not a number; write 1.95",
        ),
        (
            ["date,price [EUR/t]", *MONTHS[::7], *[f"{2010 + i}-{i % 12 + 1:02d},3" for i in range(20)]],
            "no rhythm",
        ),
    ],
)
def test_a_mistake_in_the_file_is_told_with_its_line(lines: list[str], told: str, tmp_path: Path) -> None:
    (tmp_path / "prices.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    with pytest.raises(ValueError, match=r"^prices\.csv:\d+: ") as caught:
        model(tmp_path)
    assert told in str(caught.value)


def test_weekends_are_no_gaps_in_daily_prices_but_a_summer_is(tmp_path: Path) -> None:
    days = [date(2024, 1, 1) + timedelta(days=i) for i in range(400)]
    open_days = [day for day in days if day.weekday() < 5 and day.month != 7]
    rows = [f"{day},{2 + row % 7 / 100}" for row, day in enumerate(open_days)]
    (tmp_path / "prices.csv").write_text("date,price [USD/lb]\n" + "\n".join(rows), encoding="utf-8")
    prices = read_prices(tmp_path / "prices.csv", "price")
    assert (prices.rhythm, int((~prices.whole).sum())) == ("daily", 1)
    assert prices.step_days == pytest.approx(7 / 5, rel=0.02)
    assert prices.per_kg[0] == pytest.approx(2 / 0.45359237)


def test_dates_may_be_days_months_or_years() -> None:
    assert [read_day(text) for text in ("2024-02-29", "2024-02", "2024")] == [
        date(2024, 2, 29),
        date(2024, 2, 1),
        date(2024, 1, 1),
    ]


def test_the_example_that_users_are_shown_works(folder: Path) -> None:
    (provider,) = planner_models()
    assert isinstance(provider, Provider)
    settings = provider.settings.model_validate(
        provider.example, context={"folder": folder, "currency": "EUR"}
    )
    inspect(provider.build(settings).draw(Draw(1, 0), YEAR), Rates, YEAR)


def test_the_package_is_light_to_import() -> None:
    heavy = "{'pandas', 'statsmodels', 'scipy.stats'} & set(sys.modules)"
    code = f"import planner_fitted_rates, sys; sys.exit(bool({heavy}))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
