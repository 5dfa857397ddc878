"""The field list in scenarios/README.md is what the models say."""

from __future__ import annotations

from planner.plugin.registry import Registry
from planner.report.fields import placed
from planner.scenario.fields import fields_markdown
from tests.contract.tree import ROOT


def test_the_list_of_fields_is_up_to_date() -> None:
    """If this fails, run: make fields."""
    page = (ROOT / "scenarios" / "README.md").read_text(encoding="utf-8")
    assert placed(page, fields_markdown(Registry())) == page
