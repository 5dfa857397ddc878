"""An error of a package is told by the line that its author wrote, and in the words of whoever raised it."""

from __future__ import annotations

import re
import runpy
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from planner.interrupts import Overdue
from planner.world.telling import told

PACKAGE = """\
import sys
import textwrap

import numpy as np

from planner.scenario import Section
from planner.world.draw import Draw
from planner.world.parts import Horizon


class Settings(Section):
    times: int = 1


class Missing(Exception):
    pass


def broadcast():
    return np.ones(5) + np.ones((3, 8))  # numpy refuses


def converted():
    return float("much")  # Python refuses


def averaged():
    return np.average([1.0], weights=[1.0, 2.0])  # deep in numpy


def refused():
    raise ValueError("the file has no column for wind")  # the author says so


def refused_with_a_cause():
    try:
        float("much")
    except ValueError as error:
        raise ValueError("wind must be a number") from error  # the author says so


def refused_without_words():
    raise ValueError  # nothing said


def refused_by_the_planner():
    from planner.scenario.units import quantity
    return quantity("4 EUR", "kg")  # the planner says so


def numpy_by_the_planner():
    return Draw(1, 0).uniform("x", -1)  # numpy, called by the planner


def changed():
    Settings().times = 2  # pydantic refuses


def misread():
    Settings.model_validate({"time": 2, "times": "two"})  # pydantic refuses


def left():
    sys.exit()  # leaves


def left_with_words():
    sys.exit("no wind")  # leaves


def written_by_machine():
    exec("def f():\\n  return 1 / 0\\nf()")  # runs text


def missing():
    raise Missing  # own error


def mistyped():
    exec("def f(:")  # compiles text
"""


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("telling") / "planner_mechanic"
    folder.mkdir()
    (folder / "hooks.py").write_text(PACKAGE, encoding="utf-8")
    return folder


def caught(call: Callable[[], object]) -> BaseException:
    try:
        call()
    except BaseException as error:
        return error
    raise AssertionError("nothing was raised")


@pytest.mark.parametrize(
    ("function", "words", "line"),
    [
        ("broadcast", "ValueError: operands could not be broadcast together with shapes (5,) (3,8)", "# numpy refuses"),
        ("converted", "ValueError: could not convert string to float: 'much'", "# Python refuses"),
        ("averaged", "TypeError: Axis must be specified when shapes of a and weights differ.", "# deep in numpy"),
        ("refused", "the file has no column for wind", "no column for wind"),
        ("refused_with_a_cause", "wind must be a number", "must be a number"),
        ("refused_without_words", "ValueError: no message", "# nothing said"),
        ("refused_by_the_planner", "'4 EUR' is an amount of money, but a mass is needed", "# the planner says so"),
        ("numpy_by_the_planner", "ValueError: negative dimensions are not allowed", "# numpy, called"),
        ("changed", "settings may not be changed", ".times = 2"),
        ("misread", "ValidationError: times: Input should be a valid integer; time: Extra inputs are not permitted",
         "Settings.model_validate"),
        ("left", "it ended the program (sys.exit)", "sys.exit()"),
        ("left_with_words", "it ended the program (sys.exit('no wind'))", "sys.exit('no wind')"),
        ("written_by_machine", "ZeroDivisionError: division by zero", "# runs text"),
        ("missing", "Missing: no message", "# own error"),
        ("mistyped", "SyntaxError: invalid syntax", "# compiles text"),
    ],
)  # fmt: skip
def test_an_error_is_told_with_the_last_line_of_the_package_itself(
    function: str, words: str, line: str, home: Path
) -> None:
    line = line.replace("'", '"')
    number = next(number for number, text in enumerate(PACKAGE.splitlines(), 1) if line in text)
    calls = runpy.run_path(str(home / "hooks.py"))
    found = told(caught(calls[function]), (str(home),))
    assert found.startswith(words)
    assert found.endswith(f" (planner_mechanic/hooks.py:{number})")
    assert "errors.pydantic.dev" not in found
    assert found.count("ValueError") <= 1


def test_what_was_cut_short_is_told_with_the_line_of_the_package_that_was_waiting(home: Path) -> None:
    file = str(home / "waits.py")
    code = compile("def wait(until):\n    return until()\n", file, "exec")
    names: dict[str, Callable[[object], object]] = {}
    exec(code, names)

    def late() -> None:
        raise Overdue("it did not end within 3 s")

    found = told(caught(lambda: names["wait"](late)), (str(home),))
    assert found == "it did not end within 3 s (planner_mechanic/waits.py:2)"


def test_an_error_that_came_by_no_line_of_the_package_is_told_without_one(home: Path) -> None:
    assert told(caught(lambda: float("much")), (str(home),)) == (
        "ValueError: could not convert string to float: 'much'"
    )


def test_a_package_of_one_file_is_told_by_its_name(tmp_path: Path) -> None:
    file = tmp_path / "oops.py"
    file.write_text("def fail():\n    raise KeyError('wind')\n", encoding="utf-8")
    calls = runpy.run_path(str(file))
    assert told(caught(calls["fail"]), (str(file),)) == "KeyError: 'wind' (oops.py:2)"


def test_a_file_beside_the_package_is_somebody_elses(home: Path) -> None:
    file = home.parent / "planner_mechanics.py"
    file.write_text("def fail():\n    raise ValueError('no wind')\n", encoding="utf-8")
    calls = runpy.run_path(str(file))
    assert told(caught(calls["fail"]), (str(home),)) == "ValueError: no wind"


def test_a_syntax_error_is_told_with_its_own_line(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (home / "__init__.py").write_text("x = 1\nif x\n    y = 2\n", encoding="utf-8")
    monkeypatch.syspath_prepend(home.parent)
    error = caught(lambda: __import__("planner_mechanic"))
    assert re.fullmatch(
        r"SyntaxError: expected ':' \(planner_mechanic/__init__\.py:2\)", told(error, (str(home),))
    )
    sys.modules.pop("planner_mechanic", None)
