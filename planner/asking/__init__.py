"""Questions in the trade's order, and the scenario that comes of the answers.

In: what somebody types, or a file of answers. Out: a commented scenario file that passes ``planner check``. Must not
know: runs. What follows from an answer is reckoned by what ``planner check`` calls, never here.
"""
