"""Folders of dirty tables beside exactly what is told of them: `python -m tests.records.dirty` writes that anew."""

from __future__ import annotations

from pathlib import Path

from planner.records.reading import read
from planner.scenario import InputError

FOLDERS = sorted(path for path in (Path(__file__).parent / "dirty").iterdir() if path.is_dir())


def told_of(folder: Path) -> str:
    """Every remark in its order, and how many rows each table has; or every problem."""
    try:
        records = read(folder, "EUR")
    except InputError as error:
        return f"{error}\n"
    counts = [f"{name}: {len(frame)} rows read\n" for name, frame in records.tables.items() if len(frame)]
    return "".join([*(f"{remark}\n" for remark in records.remarks), *counts])


if __name__ == "__main__":
    for one in FOLDERS:
        one.with_suffix(".txt").write_text(told_of(one), encoding="utf-8")
