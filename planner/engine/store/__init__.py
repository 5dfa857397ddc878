"""Runs that were played, kept in one file: whatever ends a study, the next one goes on from there.

In: keys of runs and what came of them. Out: what came of them, long after. Must not know: what a run is made of, what a
study is for, the terminal.
"""

from __future__ import annotations

from planner.engine.store.errors import StoreError
from planner.engine.store.rows import Label, Row, Status
from planner.engine.store.store import Store
from planner.engine.store.studies import Study, Told, studies_of

__all__ = ["Label", "Row", "Status", "Store", "StoreError", "Study", "Told", "studies_of"]
