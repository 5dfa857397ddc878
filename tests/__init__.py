"""The project's tests. A package of its own name, so that no library's tests can stand in its place."""

from __future__ import annotations
