"""Tiny businesses whose answers are known, and how far the program's own answers may lie from them.

In: nothing, or a scenario. Out: rows: what is expected, what came out, and whether the two agree.
Must not know: files written, the terminal.
"""
