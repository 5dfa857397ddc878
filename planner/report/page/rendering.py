"""A page put together: its template, the look of the house, its script, and the policy that lets nothing else in.

In: the name of a template beside this file, and what stands in it. Out: the page as bytes. Must not know: what it says.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any, Final

import jinja2
from markupsafe import Markup

from planner.report.page.safe import embedded, policy
from planner.report.page.script import script

_HERE: Final = "planner.report.page"


def rendered(template: str, **parts: Any) -> bytes:
    """The page: UTF-8, everything in one file; the same for the same parts and versions.

    Parameters
    ----------
    template : str
        Its name, such as ``page.html.j2``.
    **parts
        What the template names.
    """
    code = script()
    text: str = _template(template).render(
        policy=policy([code]),
        script=Markup(code),
        style=Markup(_read("page.css")),
        embedded=embedded,
        **parts,
    )
    return text.encode("utf-8", "backslashreplace")


def _read(name: str) -> str:
    return files(_HERE).joinpath(name).read_text("utf-8")


@cache
def _template(name: str) -> jinja2.Template:
    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.from_string(_read(name))
