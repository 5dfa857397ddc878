"""The heaviest files that are read at all, and what each costs (``python -m tests.scenario.heavy [NAME ...]``).

Prints a line of JSON a file: its name, how it ended, how many functions were called, seconds of processor time, and the
most memory so far [MB]. The name ``bad`` stands for every file of ``bad/``. Counting takes longer than what is counted:
with the name ``seconds`` nothing is counted, and with ``command`` each file has a ``planner check`` of its own, whose
start is part of the time, the system's own work for it too.
"""

from __future__ import annotations

import json
import os
import re
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path
from time import process_time
from types import FrameType
from typing import Any, Self

from planner.scenario import InputError
from planner.scenario import load as load_with
from planner.scenario.compose import MOST_LINES, MOST_VALUES
from planner.scenario.source import MOST_BYTES
from planner.scenario.units import registry
from planner.study import load
from tests.scenario.stand_in import Registry, Small

HEAD = "title: Heavy\ncurrency: EUR\n"
GARDEN = Path(__file__).parents[1] / "study" / "garden.yaml"
BAD = Path(__file__).parent / "bad"
ROOM = MOST_BYTES - 20_000
LINES = MOST_LINES - 20
SHOPS = "".join(f"        s{n}: {{x: 2 km, y: 1 km}}\n" for n in range(499))


def files() -> dict[str, str]:
    """Texts just below every bound, and beyond."""
    garden = GARDEN.read_text(encoding="utf-8")
    keys = MOST_VALUES // 2 - 400
    return {
        "keys at the top": HEAD + "".join(f"k{n}: 1\n" for n in range(keys)),
        "keys like one that is known": HEAD + "".join(f"cost_{n}: 1\n" for n in range(keys)),
        "keys in a block": HEAD + "owner:\n" + "".join(f"  k{n}: 1\n" for n in range(keys)),
        "a long list": HEAD + f"costs: [{', '.join('1' for _ in range(keys))}]\n",
        "more keys than are read": HEAD + "".join(f"k{n}: 1\n" for n in range(45_000)),
        "more lines than are read": HEAD + "#\n" * (ROOM // 2),
        "open brackets": HEAD + "a: " + "[" * ROOM,
        "open quotes": HEAD + "a: " + '"' * (ROOM - 1),
        "one long word": HEAD + "a: " + "x" * ROOM,
        "one long number": HEAD + "study: {seed: " + "9" * ROOM + "}",
        "blanks": HEAD + " " * ROOM,
        "empty lines": HEAD + "\n" * LINES + "a: 1",
        "comments": HEAD + f"#{'x' * 15}\n" * LINES,
        "lines of one text": HEAD + "a:\n" + f" {'x' * 15}\n" * LINES,
        "lines in quotes": HEAD + 'a: "' + f"{'x' * 15}\n" * LINES + '"',
        "folded lines": HEAD + "a: >\n" + f" {'x' * 15}\n" * LINES,
        "words of one text": HEAD + "a: " + "x " * (ROOM // 2),
        "words in quotes": HEAD + 'a: "' + "x " * (ROOM // 2) + '"',
        "a long word with !": HEAD + "a: !" + "x" * ROOM + " 1",
        "a long name with &": HEAD + "a: &" + "x" * ROOM + " 1",
        "control characters": HEAD + "\x07" * ROOM,
        "escapes": HEAD + 'a: "' + "\\x07" * (ROOM // 4) + '"',
        "dashes": HEAD + "a:\n" + "- " * (ROOM // 2),
        "aliases": HEAD + "a: &a [1, 1, 1]\nb: [" + ", ".join("*a" for _ in range(5_000)) + "]\n",
        "aliases of aliases": HEAD
        + "a0: &a0 [1, 1]\n"
        + "".join(f"a{n + 1}: &a{n + 1} [*a{n}, *a{n}]\n" for n in range(30)),
        "shops": garden.replace("        Corner Tyres:", f"{SHOPS}        Corner Tyres:"),
        "wrong options": _options(garden, "melting.hel", 1_500),
        "options and a mistake": _options(garden, "melting.slack_share", 490).replace(
            "{melting", "{meltin", 1
        ),
        "more options than are read": _options(garden, "melting.slack_share", 1_500),
    }


def _options(garden: str, path: str, number: int) -> str:
    """So many options that change one value each."""
    options = "".join(f"  o{n}: {{changes: {{{path}: 0.{n}1}}}}\n" for n in range(number))
    return garden.split("outlooks:")[0] + options


class Calls:
    """Counts the functions that are called while it is entered, Python's own included."""

    def __init__(self) -> None:
        self.number = 0

    def _one(self, frame: FrameType, event: str, argument: Any) -> None:
        self.number += event in {"call", "c_call"}

    def __enter__(self) -> Self:
        sys.setprofile(self._one)
        return self

    def __exit__(self, *raised: object) -> None:
        sys.setprofile(None)


def main() -> None:
    """Load each and say what it cost."""
    names = [name for name in sys.argv[1:] if name not in {"seconds", "command"}]
    load(GARDEN)  # what is made once, whichever file comes first
    registry()  # units that are not usual need it, once
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "heavy.yaml"
        for name, text in files().items():
            if not names or name in names:
                path.write_text(text, encoding="utf-8")
                _by_command(name, path) if "command" in sys.argv else _told(name, path, load)
    if "bad" in names:
        os.chdir(BAD)
        for path in sorted(BAD.glob("*.yaml")):
            _told(path.name, Path(path.name), lambda file: load_with(file, Registry(), business_class=Small))


def most_memory_mb() -> float:
    """The most memory that this program has had so far; what the one that started it has is no part of it."""
    status = Path("/proc/self/status")
    if status.exists():  # since here the system counts from what was there before the program began
        return float(re.search(r"^VmHWM:\s+(\d+) kB$", status.read_text(), re.M)[1]) / 1000.0  # type: ignore[index]
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000.0


def _by_command(name: str, path: Path) -> None:
    """What a user waits for: a process that starts, checks the file and ends."""
    words = [sys.executable, "-c", "from planner.cli import main; main()", "check", str(path)]
    with subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True) as started:
        told = started.stderr.read() if started.stderr else ""
        _, status, used = os.wait4(started.pid, 0)
        started.returncode = os.waitstatus_to_exitcode(status)
    row = {
        "file": name,
        "ended": told.splitlines()[0].replace(str(path), path.name) if told else "loaded",
        "exit_code": started.returncode,
        "seconds": used.ru_utime + used.ru_stime,
        "memory_mb": used.ru_maxrss / 1000.0,
    }
    sys.stdout.write(f"{json.dumps(row)}\n")


def _told(name: str, path: Path, load_it: Callable[[Path], object]) -> None:
    counter = Calls()
    start, ended = process_time(), "loaded"
    with nullcontext() if "seconds" in sys.argv else counter:
        try:
            load_it(path)
        except InputError as error:
            ended = str(error).splitlines()[0].replace(str(path), path.name)
    row = {
        "file": name,
        "ended": ended,
        "calls": counter.number,
        "seconds": process_time() - start,
        "memory_mb": most_memory_mb(),
    }
    sys.stdout.write(f"{json.dumps(row)}\n")


if __name__ == "__main__":
    main()
