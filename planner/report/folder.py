"""Files written whole or not at all.

In: a folder and texts by file name. Out: the files, each complete; or an ``OutputError`` in one plain sentence.
Must not know: what the files say.

Everything is written beside its place, flushed to the disk, and only then put in place: a new folder in one step, in
an old one file by file. Ctrl-C and a full disk leave the old files or the new ones, all of them; a power cut may leave
some of each, every one of them whole.
"""

from __future__ import annotations

import errno
import os
import shutil
import stat
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from planner import interrupts

MOST_BYTES: Final = 1_000_000_000
"""The largest tables of runs have a tenth of it (assumed)."""
LONGEST: Final = 120
"""Letters of a name that are shown."""


class OutputError(Exception):
    """Files cannot be written there.

    Parameters
    ----------
    message : str
        One plain sentence.
    wrong_place : bool
        The place is wrong, and another would do; otherwise the disk failed or is full.
    """

    def __init__(self, message: str, wrong_place: bool) -> None:
        super().__init__(message)
        self.wrong_place = wrong_place


class StoredError(Exception):
    """What a folder should hold cannot be read: one plain sentence."""


def read_stored(path: Path) -> bytes:
    """The content of an ordinary file, never waited for and never without end.

    Raises
    ------
    OSError
        It is not there, may not be read, is no ordinary file, or is larger than any that planner writes.
    """
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, "no ordinary file", str(path))
        content = file.read(MOST_BYTES + 1)
    if len(content) > MOST_BYTES:
        raise OSError(errno.EFBIG, "too large a file", str(path))
    return content


def check_folder(folder: Path) -> None:
    """Say now what would go wrong later: before anything is computed.

    Raises
    ------
    OutputError
        A file is in the way, or nothing may be written there, or the name is none.
    """
    try:
        _check(folder.absolute())
    except OSError as error:
        raise _plain(folder, error) from error


def _check(here: Path) -> None:
    for place in (here, *here.parents):
        if place.is_dir():
            if not os.access(place, os.W_OK | os.X_OK):
                raise OutputError(f"nothing may be written into {place}; choose another folder", True)
            return
        if place.exists() or place.is_symlink():
            raise OutputError(f"{place} is a file, not a folder; choose another folder", True)


def write_folder(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write files into a folder, which is made if it is not there.

    Parameters
    ----------
    folder : Path
        Other files in it stay as they are.
    files : mapping of str to bytes
        By name, in a new folder also by path below it; put in place in this order.

    Returns
    -------
    tuple of Path
        The files.

    Raises
    ------
    OutputError
        See :func:`check_folder`; or the disk is full.
    """
    check_folder(folder)
    try:
        _write(folder, files)
    except OSError as error:
        raise _plain(folder, error) from error
    return tuple(folder / name for name in files)


def _write(folder: Path, files: Mapping[str, bytes]) -> None:
    new = not folder.exists()
    if new:
        folder.absolute().parent.mkdir(parents=True, exist_ok=True)
    stage = Path(tempfile.mkdtemp(prefix=".planner-", dir=folder.absolute().parent if new else folder))
    try:
        for name, content in files.items():
            _write_file(stage / name, content)
        _flush(stage)
        with interrupts.held():
            if new:
                stage.chmod(0o777 & ~_umask())
                stage.rename(folder)
            else:
                for name in files:
                    (stage / name).replace(folder / name)
        _flush(folder.absolute().parent if new else folder)
    finally:
        shutil.rmtree(stage, ignore_errors=True)


def _write_file(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _flush(folder: Path) -> None:
    """Flush a folder's own entries, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _shown(folder: Path) -> str:
    """A name, cut to what a line has room for."""
    name = str(folder)
    return name if len(name) <= LONGEST else f"{name[: LONGEST - 3]}..."


def _plain(folder: Path, error: OSError) -> OutputError:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return OutputError(f"the disk is full: nothing was written into {folder}", False)
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return OutputError(f"nothing may be written into {folder}; choose another folder", True)
    if error.errno in (errno.ENOTDIR, errno.EISDIR, errno.EEXIST, errno.ENAMETOOLONG):
        return OutputError(f"{_shown(folder)} cannot be a folder ({error.strerror}); choose another", True)
    return OutputError(f"{folder} could not be written: {error.strerror or error}", False)
