"""A result kept as a file, so that it can be told again without playing anything.

In: a frozen result, or a file that one was written to. Out: bytes, or the same result. Must not know: what it says.
"""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import Any, Final, Generic, TypeVar, cast

from pydantic import ConfigDict, ValidationError, create_model

from planner import __version__
from planner.report.folder import StoredError, read_stored

FORMAT: Final = 1
"""Of the files; another number is not read."""

Result = TypeVar("Result")


class Kept(Generic[Result]):
    """How results of one kind are kept.

    Parameters
    ----------
    kind : type
        A frozen dataclass.
    again : str
        What to do where a file cannot be read: a command that writes it.
    """

    def __init__(self, kind: type[Result], again: str) -> None:
        self._kind = kind
        self._again = again

    def written(self, found: Result) -> bytes:
        """A result as its file holds it."""
        document = self._model(format=FORMAT, planner=__version__, found=found)
        return cast("bytes", document.model_dump_json(indent=1).encode() + b"\n")

    def read(self, path: Path) -> Result | None:
        """Read a result back; None where there is no such file.

        Raises
        ------
        planner.report.folder.StoredError
            It is damaged, or another version wrote it.
        """
        try:
            content = read_stored(path)
        except FileNotFoundError:
            return None
        except OSError as error:
            raise StoredError(f"{path} cannot be read ({error.strerror}); {self._again}") from error
        try:
            document = self._model.model_validate_json(content)
        except ValidationError as error:
            raise StoredError(
                f"{path} is damaged, or another version of planner wrote it; {self._again}"
            ) from error
        if document.format != FORMAT:
            raise StoredError(
                f"{path} has format {document.format}, and this planner reads {FORMAT}; {self._again}"
            )
        return cast("Result", document.found)

    @cached_property
    def _model(self) -> Any:
        """The document: made when it is first needed, since that takes a moment."""
        return create_model(
            "Document",
            __config__=ConfigDict(ser_json_inf_nan="strings", frozen=True),
            format=(int, ...),
            planner=(str, ...),
            found=(self._kind, ...),
        )
