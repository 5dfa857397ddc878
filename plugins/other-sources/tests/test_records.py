"""Records as the owner wrote them: what is read, and how what is wrong is told."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from planner_other_sources.records import MIX, places, read

Write = Callable[..., str]
HEAD = "date,shop,mass [kg],price"
FULL = "date,shop,mass [kg],price [EUR],wet," + ",".join(MIX) + ",clip_share,x [km],y [km],note"
GOOD = "2025-03-01,Ropewalk Tyres,57.2,10"


def test_a_record_is_read_as_it_stands(records: Write, folder: Path) -> None:
    name = records(
        FULL, "2025-03-01,Ropewalk Tyres,57.2,10.5,Yes,0.4,0.1,0.1,0.3,0.1,0.12,3,-1.5,by the back door"
    )
    (one,) = read(folder / name, "EUR")
    assert (one.line, one.day, one.shop) == (2, date(2025, 3, 1), "Ropewalk Tyres")
    assert (one.mass_kg, one.price, one.wet) == (57.2, 10.5, True)
    assert one.weights == (0.4, 0.1, 0.1, 0.3, 0.1)
    assert one.clip_share == 0.12
    assert one.place_km == (3.0, -1.5)


def test_what_is_left_empty_is_not_known(records: Write, folder: Path) -> None:
    name = records(FULL, "2025-03-01,Ropewalk Tyres,57.2,10,,,,,,,,,,")
    (one,) = read(folder / name, "EUR")
    assert (one.wet, one.weights, one.clip_share, one.place_km) == (None, None, None, None)


def test_pounds_and_miles_are_converted_once(records: Write, folder: Path) -> None:
    name = records(
        "shop,date,mass [lb],price [USD],x [miles],y [miles]", "Ropewalk Tyres,2025-03-01,100,8,2,0"
    )
    (one,) = read(folder / name, "USD")
    assert one.mass_kg == pytest.approx(45.359237)
    assert one.place_km == pytest.approx((3.218688, 0.0))


def test_empty_lines_a_mark_at_the_start_and_quotes_do_not_matter(records: Write, folder: Path) -> None:
    name = records("\ufeff" + HEAD, "", '2025-03-01,"Ropewalk, Tyres",57.2,10', "   ")
    assert [record.shop for record in read(folder / name, "EUR")] == ["Ropewalk, Tyres"]


def test_the_line_told_is_that_of_the_file(records: Write, folder: Path) -> None:
    name = records(HEAD, GOOD, "", "2025-03-32,Ropewalk Tyres,57.2,10")
    with pytest.raises(ValueError, match=r"^pickups\.csv:4: '2025-03-32' is no day of the calendar"):
        read(folder / name, "EUR")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("01.03.2025,Ropewalk Tyres,57.2,10", "'01.03.2025' is not a date; write year-month-day"),
        ("2025-03-01,,57.2,10", "'' cannot be a name"),
        ("2025-03-01,Ropewalk Tyres,,10", "mass is ''; write a number such as 57.2, without its unit"),
        ("2025-03-01,Ropewalk Tyres,heavy,10", "mass is 'heavy'; write a number such as 57.2"),
        ("2025-03-01,Ropewalk Tyres,57 kg,10", "mass is '57 kg'; write a number"),
        ("2025-03-01,Ropewalk Tyres,nan,10", "mass is 'nan'; write a number"),
        ('2025-03-01,Ropewalk Tyres,"57,2",10', "mass is '57,2'; write a number such as 57.2"),
        ("2025-03-01,Ropewalk Tyres,0,10", "mass is 0 kg; a bucket has more than 0 and at most 1000 kg"),
        ("2025-03-01,Ropewalk Tyres,57200,10", "mass is 57200 kg; a bucket has more than 0"),
        ("2025-03-01,Ropewalk Tyres,57.2,-1", "price is -1; write what was paid, 0 if it was given away"),
        ("2025-03-01,Ropewalk Tyres,57.2,10 EUR", "price is '10 EUR'; write a number"),
        ("2025-03-01,Ropewalk Tyres,57,2,10", "it has 5 cells, the header 4; write a cell for each column"),
    ],
)
def test_a_line_that_is_wrong_is_told_with_its_number_and_what_is_right(
    line: str, words: str, records: Write, folder: Path
) -> None:
    name = records(HEAD, GOOD, line)
    with pytest.raises(ValueError, match=r"^pickups\.csv:3: ") as caught:
        read(folder / name, "EUR")
    assert str(caught.value).startswith(f"pickups.csv:3: {words}")


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ("maybe,,,,,,,,,", "wet is 'maybe'; write yes or no, or nothing where it is not known"),
        (",0.4,0.1,0.1,0.3,,,,,", "the mix has an empty share; write all five"),
        (",0.4,0.1,0.1,0.3,0.2,,,,", "the five shares of the mix sum to 1.1; they must sum to 1"),
        (",40,10,10,30,10,,,,", "clip_on_share is '40'; write a share from 0 to 1, such as 0.4"),
        (",,,,,,12 %,,,", "clip_share is '12 %'; write a share from 0 to 1"),
        (",,,,,,,3,,", "x or y is empty; write both, or neither"),
    ],
)
def test_what_may_be_left_out_is_right_where_it_is_written(
    cells: str, words: str, records: Write, folder: Path
) -> None:
    name = records(FULL, f"{GOOD},{cells}")
    with pytest.raises(ValueError, match=r"^pickups\.csv:2: ") as caught:
        read(folder / name, "EUR")
    assert str(caught.value).startswith(f"pickups.csv:2: {words}")


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ("date;shop;mass [kg];price", "the columns are not divided by commas"),
        ("date,shop,mass,price", "mass needs its unit in the header, such as mass [kg]"),
        ("date,shop,mass [stonez],price", "the unit 'stonez' is not known"),
        ("date,shop,mass [EUR],price", "'1 EUR' is an amount of money, but a mass is needed"),
        ("date,shop,mass [kg],price [USD]", "'1 USD' is in USD, but this scenario counts in EUR"),
        ("date [d],shop,mass [kg],price", "date has no unit; write date without [d]"),
        ("date,shop,mass [kg]", "the header must name price too"),
        ("date,shop,mass [kg],price,wett", "the column 'wett' is not known; did you mean wet?"),
        ("date,shop,mass [kg],price,price", "the column price is there twice"),
        ("date,shop,mass [kg],price,x [km]", "y missing; x, y are given together or not at all"),
        (
            "date,shop,mass [kg],price,zinc_share",
            "clip_on_share, stick_on_share, steel_share, rubbish_share missing",
        ),
    ],
)
def test_a_header_that_is_wrong_is_told_alone(head: str, words: str, records: Write, folder: Path) -> None:
    name = records(head, GOOD)
    with pytest.raises(ValueError, match=r"^pickups\.csv:1: ") as caught:
        read(folder / name, "EUR")
    told = str(caught.value)
    assert told.startswith("pickups.csv:1: ")
    assert words in told
    assert "pickups.csv:2" not in told


def test_several_wrong_lines_are_told_at_once_and_many_are_counted(records: Write, folder: Path) -> None:
    name = records(HEAD, *(f"2025-03-01,Ropewalk Tyres,{-k},10" for k in range(1, 9)))
    with pytest.raises(ValueError, match=r"^pickups\.csv:2: ") as caught:
        read(folder / name, "EUR")
    assert [f"pickups.csv:{line}: " in str(caught.value) for line in range(2, 10)] == [True] * 5 + [False] * 3
    assert str(caught.value).endswith("; and 3 lines more")


def test_a_file_without_records_a_torn_quote_and_other_text_are_told(records: Write, folder: Path) -> None:
    with pytest.raises(ValueError, match=r"^pickups\.csv has no records"):
        read(folder / records(HEAD), "EUR")
    with pytest.raises(ValueError, match=r"^pickups\.csv:3: .*write plain cells"):
        read(folder / records(HEAD, GOOD, '2025-03-01,"Ropewalk"Tyres,57,10'), "EUR")
    (folder / "latin.csv").write_bytes(f"{HEAD}\n2025-03-01,Caf\xe9,57,10\n".encode("latin-1"))
    with pytest.raises(ValueError, match=r"^latin\.csv is not text in UTF-8"):
        read(folder / "latin.csv", "EUR")
    with pytest.raises(ValueError, match=r"^gone\.csv cannot be read"):
        read(folder / "gone.csv", "EUR")


def test_a_shop_cannot_be_at_two_places(records: Write, folder: Path) -> None:
    head = f"{HEAD},x [km],y [km]"
    name = records(head, f"{GOOD},1,2", f"{GOOD},,", f"{GOOD},1,3")
    path = folder / name
    with pytest.raises(
        ValueError, match=r"^pickups\.csv:4: Ropewalk Tyres is at another place than in line 2"
    ):
        list(places(path, read(path, "EUR")))


def test_a_file_of_more_buckets_than_can_be_played_is_told_before_all_of_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "many.csv"
    for row in ("2026-01-14,Corner,55,9\n", "never,Corner,55,9\n"):
        path.write_text("date,shop,mass [kg],price [EUR]\n" + row * 20_001, encoding="utf-8")
        with pytest.raises(ValueError, match=r"^many\.csv has more than 20,000 records; leave out what"):
            read(path, "EUR")
