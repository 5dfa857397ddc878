"""Words and addresses that do not belong in the project."""

from __future__ import annotations

import re

from tests.contract.tree import tracked, where

# written so that this file does not contain what it looks for
UNWANTED = re.compile(
    r"s[e]ed doc|tran[s]cript|y[o]utube|\bv[i]deos?\b|p[y]pi(?:\.|-)|p[y]thonhosted|registry\.n[p]mjs|/w[o]rk/"
    r"|bef[o]re-stop|s[u]bagent|files\.p[y]thon|a[n]aconda\.org|conda-f[o]rge",
    re.IGNORECASE,
)
UNFINISHED = re.compile(r"\b(T[O]DO|F[I]XME|X[X]X)\b")


def lines_with(pattern: re.Pattern[str], suffixes: set[str] | None = None) -> list[str]:
    found = []
    for path in tracked():
        if suffixes is not None and path.suffix not in suffixes:
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        found += [
            f"{where(path, number)} {match.group()}"
            for number, line in enumerate(text.splitlines(), 1)
            if (match := pattern.search(line))
        ]
    return found


def test_the_project_speaks_only_of_itself() -> None:
    assert lines_with(UNWANTED) == []


def test_nothing_is_left_for_later() -> None:
    assert lines_with(UNFINISHED, {".py", ".md", ".yaml", ".toml"}) == []


def test_the_list_of_packages_names_no_index_and_no_path() -> None:
    text = next(path for path in tracked() if path.name == "requirements.txt").read_text(encoding="utf-8")
    rows = [line.strip() for line in text.splitlines()]
    asides = [row for row in rows if row.startswith(("-", "--")) and not row.startswith("--hash=sha256:")]
    assert asides == []
    assert [row for row in rows if "://" in row or " @ " in row or row.startswith("# via -r /")] == []


def test_the_search_itself_finds_such_words() -> None:
    assert UNWANTED.search("as the " + "tran" + "script says")
    assert UNWANTED.search("https://" + "py" + "pi.org/simple")
    assert UNFINISHED.search("# " + "TO" + "DO: later")
