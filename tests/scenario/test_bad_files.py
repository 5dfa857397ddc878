"""Every mistake has a file in `bad/` beside the exact message that its author sees."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.scenario import InputError, load
from tests.scenario.stand_in import Registry, Small

BAD = Path(__file__).parent / "bad"
FILES = sorted(path.stem for path in BAD.glob("*.yaml"))


@pytest.mark.parametrize("name", FILES)
def test_a_mistake_is_told_with_its_place_and_what_to_do(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(BAD)
    with pytest.raises(InputError) as caught:
        load(f"{name}.yaml", Registry(), business_class=Small)
    assert f"{caught.value}\n" == (BAD / f"{name}.txt").read_text(encoding="utf-8")


def test_every_message_has_its_file() -> None:
    assert sorted(path.stem for path in BAD.glob("*.txt")) == FILES
    assert len(FILES) > 80
