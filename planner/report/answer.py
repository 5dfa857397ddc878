"""A question that a page and the terminal answer alike.

In: texts. Out: ``Answer``. Must not know: what was asked.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Answer:
    """One question and what the runs say.

    Parameters
    ----------
    key : str
        Short name.
    question : str
        As it is asked.
    said : str
        The answer in a sentence or two.
    further : tuple of str
        What else there is to say.
    """

    key: str
    question: str
    said: str
    further: tuple[str, ...]
