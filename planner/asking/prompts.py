"""One line asked for: in a terminal, or out of whatever stands on standard input.

In: a question's words, what is usual, words to choose from. Out: what was typed. Must not know: which questions there
are.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Any, Final, Protocol, TextIO

from planner.scenario.unseen import visible

BACK: Final = "back"
HINT: Final = "Up arrow: back | ?: more | Ctrl-D: stop, answers are kept"


class Asker(Protocol):
    """Somebody who can be asked."""

    @property
    def patient(self) -> bool:
        """Is somebody there who can answer again?"""

    def line(self, before: str, choices: Sequence[str] = (), aside: str = "") -> str:
        """One line; ``EOFError`` if there is none any more."""

    def say(self, words: str, style: str = "") -> None:
        """Say something: ``strong``, ``wrong``, or plainly."""


class AtTerminal:
    """A terminal, by prompt_toolkit: editing, words to choose from, one line below with what is known so far."""

    patient: Final = True

    def __init__(self, out: TextIO) -> None:
        from prompt_toolkit import PromptSession
        from prompt_toolkit.filters import has_completions
        from prompt_toolkit.history import DummyHistory
        from prompt_toolkit.key_binding import KeyBindings
        from prompt_toolkit.output import create_output

        keys = KeyBindings()

        @keys.add("up", filter=~has_completions)
        def _back(event: Any) -> None:
            event.app.exit(result=BACK)

        self._output = create_output(stdout=out)
        self._session: PromptSession[str] = PromptSession(
            output=self._output, key_bindings=keys, history=DummyHistory()
        )

    def line(self, before: str, choices: Sequence[str] = (), aside: str = "") -> str:
        """One line."""
        from prompt_toolkit.completion import WordCompleter

        return self._session.prompt(
            before,
            completer=WordCompleter(list(choices), sentence=True) if choices else None,
            complete_while_typing=False,
            bottom_toolbar=f"{aside} | {HINT}" if aside else HINT,
        )

    def say(self, words: str, style: str = "") -> None:
        """Say something."""
        from prompt_toolkit import print_formatted_text
        from prompt_toolkit.formatted_text import FormattedText

        look = {"strong": "bold", "wrong": "ansired"}.get(style, "")
        print_formatted_text(FormattedText([(look, visible(words))]), output=self._output)


class Plainly:
    """Lines of standard input that is no terminal, such as a pipe: what is wrong cannot be put right there."""

    patient: Final = False

    def __init__(self, out: TextIO) -> None:
        self._out = out

    def line(self, before: str, choices: Sequence[str] = (), aside: str = "") -> str:
        """One line."""
        del choices, aside
        self._out.write(before)
        self._out.flush()
        found = sys.stdin.readline() if sys.stdin is not None else ""
        self._out.write("\n")
        if not found:
            raise EOFError
        return found.rstrip("\r\n")

    def say(self, words: str, style: str = "") -> None:
        """Say something."""
        del style
        self._out.write(f"{visible(words)}\n")
        self._out.flush()


def asker_for(quiet: bool) -> Asker:
    """Who can be asked here; where standard output is for something else, it is spoken on standard error."""
    out = sys.stderr if quiet or not sys.stdout.isatty() else sys.stdout
    if sys.stdin is not None and sys.stdin.isatty() and out.isatty():
        return AtTerminal(out)
    return Plainly(sys.stderr if quiet else sys.stdout)
