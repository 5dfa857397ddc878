"""The page's script is kept beside its source, and only used while it is what was made from it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from planner.report.page import script as module

PARTS: list[str] = []


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    source = tmp_path / "page.js"
    source.write_text("draw();")
    monkeypatch.setattr(module, "SOURCE", source)
    monkeypatch.setattr(module, "_made", made)
    PARTS.clear()
    return tmp_path


def made(source: str) -> str:
    PARTS.append(source)
    return f"library();\n{source}"


def script() -> str:
    module.script.cache_clear()
    return module.script()


@pytest.fixture(autouse=True)
def as_before() -> Iterator[None]:
    yield
    module.script.cache_clear()


def test_it_is_put_together_once(place: Path) -> None:
    assert [script(), script()] == ["library();\ndraw();"] * 2
    assert len(PARTS) == 1
    assert len(list((place / "__pycache__").iterdir())) == 1


def test_another_source_makes_another(place: Path) -> None:
    script()
    (place / "page.js").write_text("draw(1);")
    assert script() == "library();\ndraw(1);"


@pytest.mark.parametrize("spoilt", [b"", b"\xff\xfe", b"library();"])
def test_a_spoilt_one_is_not_used(place: Path, spoilt: bytes) -> None:
    script()
    (kept,) = (place / "__pycache__").iterdir()
    kept.write_bytes(spoilt)
    assert script() == "library();\ndraw();"


def test_where_nothing_may_be_written_it_works_without(place: Path) -> None:
    (place / "__pycache__").write_text("no folder")
    assert [script(), script()] == ["library();\ndraw();"] * 2
    assert len(PARTS) == 2
