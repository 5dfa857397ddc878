"""``planner schema``: the JSON Schema of a scenario file."""

from __future__ import annotations

from planner.cli.session import Format, FormatOption, session


def schema(form: FormatOption = Format.TEXT) -> None:
    """Print the JSON Schema of a scenario file, which lets editors complete and check it."""
    del form  # it is JSON either way
    with session(Format.JSON) as out:
        from planner.plugin.registry import Registry
        from planner.scenario.schema import scenario_schema

        out.document(scenario_schema(Registry()))
