"""Pure functions of the trade: heat balance, lifting, payload, metals, exposure."""

from __future__ import annotations

from planner.compiled import twins

__path__ = [*twins("trade"), *__path__]
