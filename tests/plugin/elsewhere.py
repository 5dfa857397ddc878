"""A separate environment, as a stranger has one: the planner as a wheel, its libraries, and nothing of this tree."""

from __future__ import annotations

import os
import subprocess
import sysconfig
import venv
from pathlib import Path
from typing import Any


class Elsewhere:
    """Python of its own in a folder; libraries come from the environment that the tests run in, offline."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        venv.create(folder, with_pip=False, symlinks=True)
        (site,) = folder.glob("lib/python*/site-packages")
        libraries = folder / "libraries"
        libraries.mkdir()
        for one in Path(sysconfig.get_path("purelib")).iterdir():
            if not one.name.startswith("planner"):  # announced there, and not to be found from here
                (libraries / one.name).symlink_to(one)
        (site / "beside.pth").write_text(f"{libraries}\n", encoding="utf-8")
        self.bin = folder / "bin"

    def install(self, *places: Path) -> None:
        """Build and install these from their folders, as the Makefile does, without network."""
        offline = ("--no-deps", "--no-index", "--no-build-isolation", "--ignore-installed", "--quiet")
        self.python("-m", "pip", "--disable-pip-version-check", "--no-input", "install", *offline, *places)

    def python(self, *words: object, cwd: Path | None = None) -> str:
        """Run Python there; its output, or a failed test that shows it."""
        return self.run([self.bin / "python", *words], cwd)

    def planner(self, *words: object, cwd: Path | None = None) -> str:
        """Run the planner that is installed there."""
        return self.run([self.bin / "planner", *words], cwd)

    def run(self, words: list[Any], cwd: Path | None = None, code: int = 0, one_core: bool = False) -> str:
        """Run a program with nothing of this tree on its path; it must end with this exit code.

        With one core the planner starts no processes: they take longer to get ready than a few runs take.
        """
        leave = ("PYTHONPATH", "PYTHONHOME", "PYTEST_ADDOPTS", "PYTEST_CURRENT_TEST")
        clean = {name: value for name, value in os.environ.items() if name not in leave}
        done = subprocess.run(
            [str(word) for word in words],
            cwd=cwd or self.folder.parent,
            capture_output=True,
            text=True,
            check=False,
            preexec_fn=_take_one_core if one_core and hasattr(os, "sched_setaffinity") else None,
            env=clean | {"PATH": f"{self.bin}{os.pathsep}{clean.get('PATH', '')}", "NO_COLOR": "1"},
        )
        assert done.returncode == code, f"{' '.join(map(str, words))}\n{done.stdout}\n{done.stderr}"
        return done.stdout + done.stderr


def _take_one_core() -> None:
    cores = sorted(os.sched_getaffinity(0))
    os.sched_setaffinity(0, cores[os.getpid() % len(cores) :][:1])
