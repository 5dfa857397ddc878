"""What is wrong with an option is told in plain words."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Planner


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--replicates", "x"), "Invalid value for '--replicates': write a whole number, such as 20"),
        (("--replicates", "1.5"), "write a whole number, such as 20"),
        (("--replicates", "9" * 5000), "write a whole number, such as 20"),
        (("--replicates", "0"), "it must be 1 or more"),
        (("--seed", "99999999999"), "it must be 4294967295 or less"),
        (("--minutes", "x"), "write a number, such as 2.5"),
        (("--format", "paper"), "'paper' is not one of 'text', 'json'."),
        (("one", "two"), "more is given than this command takes: one two"),
        (("--seed",), "a value is missing behind '--seed'"),
        (("--scheduler", "no such"), "an address with a port, such as tcp://192.0.2.7:8786"),
        (("--scheduler", ""), "an address with a port, such as tcp://192.0.2.7:8786"),
    ],
)
def test_a_wrong_option_is_told_in_plain_words(
    words: tuple[str, ...], told: str, planner: Planner, garden: Path, tmp_path: Path
) -> None:
    done = planner("compare", garden, *words)
    assert done.exit_code == 2
    assert told in done.stderr
    assert "Input should" not in done.stderr
    assert len(done.stderr) < 1000
    assert list(tmp_path.iterdir()) == []


def test_a_budget_that_nobody_could_wait_for_is_refused_with_time_and_memory(
    planner: Planner, garden: Path
) -> None:
    done = planner("compare", garden, "--budget", 10**12)
    assert done.exit_code == 2
    assert "1,000,000,000,000 runs: about " in done.stderr
    assert "a smaller budget (study.budget, --budget) makes it less" in done.stderr
