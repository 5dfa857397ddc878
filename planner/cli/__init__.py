"""The command line: parse, call, print.

In: words of a shell. Out: text or one JSON document, and an exit code: 0 done, 1 the run failed, 2 the input is wrong,
130 stopped by Ctrl-C. It has no logic, and imports what a command needs only when that command is called.
"""

from __future__ import annotations

import os
import sys
from io import TextIOWrapper
from pathlib import Path

from planner.cli.app import app

__all__ = ["main"]


def main() -> None:
    """Run the command that the shell asks for."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal may not know every letter of a name
    try:
        app(prog_name="planner")
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(1) from None
    except OSError as error:
        if _nowhere():
            print("planner: the folder that you are in is gone; go to another one", file=sys.stderr)
            raise SystemExit(2) from None
        print(f"planner: the output could not be written: {error.strerror or error}", file=sys.stderr)
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(1) from None


def _nowhere() -> bool:
    """Was the folder that this process is in removed?"""
    try:
        Path.cwd()
    except FileNotFoundError:
        return True
    return False
