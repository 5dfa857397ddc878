"""Questions asked one after the other, forward and back, with what follows from each answer.

In: answers so far, somebody to ask. Out: all answers; ``StoppedError`` where it was stopped before the end. Must not
know: the terminal, where answers are kept.
"""

from __future__ import annotations

import shlex
from collections.abc import Callable
from pathlib import Path
from typing import Final

from planner.asking.answers import LEFT, Answers
from planner.asking.looking import Look, looked_at
from planner.asking.prompts import BACK, Asker
from planner.asking.question import Question
from planner.asking.questions import QUESTIONS
from planner.asking.typed import choices_of, in_words
from planner.scenario import InputError

Keep = Callable[[Answers], None]
"""Keeps the answers given so far."""
YES_NO: Final = ("yes", "no")
INTRODUCTION: Final = (
    "Enter takes what stands in brackets. A number without unit is taken as you count; 12 lb or 5 kg always work. "
    f"`{BACK}` (or the up arrow) goes back, `?` says more, Ctrl-D stops: your answers are kept."
)


class StoppedError(Exception):
    """Stopped before the end; answers so far are kept.

    Parameters
    ----------
    dried_up : bool
        No more lines came, where there is no terminal.
    """

    def __init__(self, dried_up: bool) -> None:
        super().__init__(dried_up)
        self.dried_up = dried_up

    def words(self, file: Path) -> str:
        """What to do next."""
        again = f"planner new {shlex.quote(str(file))}"
        if not self.dried_up:
            return f"Stopped; nothing is lost of what you answered. The same command goes on from there:\n  {again}"
        return (
            "Nobody can be asked here: standard input is no terminal, and no more lines came. What was answered is "
            "kept. Call it in a terminal, or give the answers in a file; what it leaves open is then as is usual:\n"
            f"  planner new --form > answers.yaml\n  {again} --answers answers.yaml"
        )


class UnanswerableError(Exception):
    """A line that is no answer, where nobody can be asked again. One string."""


class Dialogue:
    """A conversation.

    Parameters
    ----------
    asker : Asker
        Who is asked.
    keep : callable
        Called with the answers after each one.
    everything : bool
        Ask all questions, without asking whether that is wanted.
    """

    def __init__(self, asker: Asker, keep: Keep, everything: bool = False) -> None:
        self._asker, self._keep, self._everything = asker, keep, everything
        self._look: Look | None = None

    def held(self, answers: Answers) -> Answers:
        """Ask what is still open, and whatever is gone back to.

        Raises
        ------
        StoppedError
            By Ctrl-C, Ctrl-D or the end of standard input.
        UnanswerableError
            A line of standard input is no answer.
        """
        questions = self._questions(answers)
        at = _first_open(answers, questions)
        if at == len(questions) and self._asker.patient:
            again = self.chosen("Everything is answered. Go through it again?", YES_NO, "no")
            at = 0 if again == "yes" else at
        self._asker.say(INTRODUCTION)
        while True:
            questions = self._questions(answers)
            if at < len(questions):
                answers, step = self._one(answers, questions[at], f"{at + 1} of {len(questions)}")
                at = self._place(answers, questions[at]) + step
                at = max(at, 0)
            elif self._everything or (wanted := self._more(answers)) == "no":
                return answers
            elif wanted == BACK:
                at = len(questions) - 1
            else:
                self._everything = True
                at = _first_open(answers, self._questions(answers))

    def chosen(self, words: str, choices: tuple[str, ...], usual: str) -> str:
        """One of some words; what is usual where no line comes."""
        while True:
            try:
                text = self._line(f"{words} ({', '.join(choices)}) [{usual}] > ", choices).strip().lower()
            except StoppedError as stopped:
                if stopped.dried_up:
                    return usual
                raise
            found = [one for one in choices if text and one.startswith(text)]
            if not text or len(found) == 1:
                return found[0] if found else usual
            if text == BACK:
                return BACK
            self._wrong(f"'{text}' is not one of {', '.join(choices)}")

    def _questions(self, answers: Answers) -> list[Question]:
        return [one for one in QUESTIONS if (one.first or self._everything) and answers.asked(one)]

    def _place(self, answers: Answers, question: Question) -> int:
        """Where a question stands after an answer that may have added or dropped others."""
        return [one.key for one in self._questions(answers)].index(question.key)

    def _more(self, answers: Answers) -> str:
        """Go on with the questions that are asked on request? Or back to those before?"""
        number = sum(not one.first and answers.asked(one) for one in QUESTIONS)
        self._asker.say("")
        words = f"That is what matters most. {number} more questions make it more your own; answer them now?"
        return self.chosen(words, YES_NO, "no")

    def _one(self, answers: Answers, question: Question, number: str) -> tuple[Answers, int]:
        """Ask one question: the answers then, and by how many questions to go on."""
        if question.heading:
            self._asker.say(f"\n{question.heading}", "strong")
        self._asker.say(f"{number}: {question.words}")
        self._asker.say(f"   changes {question.changes}")
        while True:
            given = answers.given.get(question.key, LEFT)
            stands = answers.usual(question) if given == LEFT else given
            shown = question.unknown if stands is None else in_words(stands)
            text = self._line(f"   [{shown}] > ", choices_of(question.key)).strip()
            if text.lower() in (BACK, "<"):
                return answers, -1
            if text == "?":
                self._explain(question)
                continue
            try:
                found = self._answered(answers, question, text)
                self._tell(found, question)
            except InputError as error:
                self._wrong("; ".join(one.message for one in error.problems) or str(error))
                continue
            except ValueError as error:
                self._wrong(str(error))
                continue
            self._keep(found)
            return found, 1

    def _answered(self, answers: Answers, question: Question, text: str) -> Answers:
        if text.lower() == LEFT or (not text and question.key not in answers.given):
            return answers.left(question)
        return answers.with_typed(question, text) if text else answers

    def _tell(self, answers: Answers, question: Question) -> None:
        """Say what follows from the answer."""
        if not question.tells:
            return
        self._look = looked_at(answers)
        for said in self._look.said(question.tells):
            self._asker.say(f"   {said.words}.", "wrong" if said.wrong else "")

    def _explain(self, question: Question) -> None:
        if question.more:
            self._asker.say(f"   {question.more}")
        source = question.unknown or f"what stands there if you say nothing is {question.source}"
        self._asker.say(f"   Left open: {source}. In the scenario: {question.path}")

    def _wrong(self, words: str) -> None:
        if not self._asker.patient:
            raise UnanswerableError(words)
        self._asker.say(f"   {words}", "wrong")

    def _line(self, before: str, choices: tuple[str, ...]) -> str:
        try:
            return self._asker.line(before, choices, self._look.in_short if self._look else "")
        except EOFError:
            raise StoppedError(not self._asker.patient) from None
        except KeyboardInterrupt:
            raise StoppedError(False) from None


def _first_open(answers: Answers, questions: list[Question]) -> int:
    """Where the first question stands that was not asked yet; beyond all where there is none."""
    return next((at for at, one in enumerate(questions) if one.key not in answers.given), len(questions))
