"""The project's own files, as the contract tests look at them."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def tracked() -> list[Path]:
    """Every file of the project: tracked by git, or new and not ignored."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    paths = [ROOT / name for name in listed.split("\0") if name]
    return sorted(path for path in paths if path.is_file())


def modules(under: str) -> list[Path]:
    """Python files below a folder of the project."""
    return [path for path in tracked() if path.suffix == ".py" and path.is_relative_to(ROOT / under)]


def plugin_folders() -> list[Path]:
    """Every folder directly under plugins/ that holds a file of the project."""
    plugins = ROOT / "plugins"
    inside = [path.relative_to(plugins) for path in tracked() if path.is_relative_to(plugins)]
    return sorted({plugins / path.parts[0] for path in inside if len(path.parts) > 1})


def dotted_names(path: Path) -> Iterator[tuple[int, str]]:
    """(line, dotted name) of everything a module imports or reaches by attribute."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from ((node.lineno, f"{node.module}.{alias.name}") for alias in node.names)
        elif isinstance(node, ast.Attribute):
            yield node.lineno, ast.unparse(node)


def where(path: Path, line: int | None = None) -> str:
    """``file:line`` as an editor opens it."""
    name = path.relative_to(ROOT).as_posix()
    return name if line is None else f"{name}:{line}"
