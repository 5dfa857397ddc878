"""The heaviest files that are read at all, and what each costs (``python -m tests.scenario.heavy [NAME ...]``).

Prints a line of JSON a file: its name, how it ended, seconds of processor time, and the most memory so far [MB].
"""

from __future__ import annotations

import json
import resource
import sys
import tempfile
from pathlib import Path
from time import process_time

from planner.scenario import InputError
from planner.scenario.compose import MOST_VALUES
from planner.scenario.source import MOST_BYTES
from planner.study import load

HEAD = "title: Heavy\ncurrency: EUR\n"
GARDEN = Path(__file__).parents[1] / "study" / "garden.yaml"
ROOM = MOST_BYTES - 20_000
SHOPS = "".join(f"        s{n}: {{x: 2 km, y: 1 km}}\n" for n in range(499))


def files() -> dict[str, str]:
    """Texts just below every bound, and beyond."""
    garden = GARDEN.read_text(encoding="utf-8")
    keys = MOST_VALUES // 2 - 400
    return {
        "keys at the top": HEAD + "".join(f"k{n}: 1\n" for n in range(keys)),
        "keys in a block": HEAD + "owner:\n" + "".join(f"  k{n}: 1\n" for n in range(keys)),
        "a long list": HEAD + f"costs: [{', '.join('1' for _ in range(keys))}]\n",
        "more keys than are read": HEAD + "".join(f"k{n}: 1\n" for n in range(100_000)),
        "open brackets": HEAD + "a: " + "[" * ROOM,
        "open quotes": HEAD + "a: " + '"' * (ROOM - 1),
        "one long word": HEAD + "a: " + "x" * ROOM,
        "one long number": HEAD + "study: {seed: " + "9" * ROOM + "}",
        "blanks": HEAD + " " * ROOM,
        "empty lines": HEAD + "\n" * ROOM + "a: 1",
        "comments": HEAD + "#\n" * (ROOM // 2),
        "control characters": HEAD + "\x07" * ROOM,
        "escapes": HEAD + 'a: "' + "\\x07" * (ROOM // 4) + '"',
        "dashes": HEAD + "a:\n" + "- " * (ROOM // 2),
        "aliases": HEAD + "a: &a [1, 1, 1]\nb: [" + ", ".join("*a" for _ in range(5_000)) + "]\n",
        "aliases of aliases": HEAD
        + "a0: &a0 [1, 1]\n"
        + "".join(f"a{n + 1}: &a{n + 1} [*a{n}, *a{n}]\n" for n in range(30)),
        "shops": garden.replace("        Corner Tyres:", f"{SHOPS}        Corner Tyres:"),
        "wrong options": garden.split("outlooks:")[0]
        + "".join(f"  o{n}: {{changes: {{melting.hel: {n} g}}}}\n" for n in range(200)),
    }


def main() -> None:
    """Load each and say what it cost."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "heavy.yaml"
        for name, text in files().items():
            if sys.argv[1:] and name not in sys.argv[1:]:
                continue
            path.write_text(text, encoding="utf-8")
            start, ended = process_time(), "loaded"
            try:
                load(path)
            except InputError as error:
                ended = str(error).splitlines()[0].replace(str(path), "heavy.yaml")
            spent = process_time() - start
            most_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000.0
            print(
                json.dumps({"file": name, "ended": ended, "seconds": spent, "memory_mb": most_mb}), flush=True
            )


if __name__ == "__main__":
    main()
