"""The questions of `planner new`, and the scenario that their answers make.

In: answers. Out: the text of a scenario. Must not know: the command line's options.
"""

from __future__ import annotations
