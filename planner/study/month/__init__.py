"""The questions that come back every month, each answered by playing the rest of the season both ways.

In: a scenario, and what is there today. Out: ``Month``. Must not know: words, files, the terminal.
"""
