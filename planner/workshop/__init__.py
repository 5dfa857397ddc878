"""What the owner does: one deterministic run of a scenario, an option and a world."""

from __future__ import annotations

from planner.compiled import twins

__path__ = [*twins("workshop"), *__path__]
