"""``python -m planner.compiled``: make the compiled twins of the inner loop, if they are missing.

In: the sources. Out: a folder of libraries beside this file, whole or not at all. Without a C compiler, or where it
does not succeed, it says so and leaves everything as it is: planner works without twins, only slower.
"""

from __future__ import annotations

import os
import shutil
import sys
import sysconfig
import tempfile
import traceback
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Final

from planner.compiled import GROUP, MODULES, PACKAGE, TWINS, folder

FLAGS: Final = ("-ffp-contract=off", "-w")
"""For the C compiler: no joined multiply-add, so that figures are those of plain Python to the last bit."""

SLOWER: Final = "planner works without it: same results, runs take about twice as long."


def main() -> int:
    """Make what is missing; always 0, since nothing depends on it but speed."""
    if folder().is_dir():
        return 0
    if missing := _missing():
        print(f"Not compiled: {missing} {SLOWER}")
        return 0
    print("Compiling the inner loop: about a minute, once", flush=True)
    TWINS.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory(dir=TWINS, prefix=".making-") as made:
        log = Path(made) / "log.txt"
        try:
            with log.open("w") as said, redirect_stdout(said), redirect_stderr(said):
                _compile(Path(made))
        except (Exception, SystemExit) as error:  # mypyc and setuptools leave by exit
            told = log.read_text().strip().splitlines()[-12:]
            print("\n".join([*told, *traceback.format_exception_only(error)]).strip(), file=sys.stderr)
            print(f"Not compiled. {SLOWER}")
            return 0
        for old in TWINS.glob("[!.]*"):
            shutil.rmtree(old, ignore_errors=True)
        (Path(made) / "lib").rename(folder())
    return 0


def _missing() -> str:
    """What is needed and not there, in one sentence; empty if all is."""
    if shutil.which((os.environ.get("CC") or sysconfig.get_config_var("CC") or "cc").split()[0]) is None:
        return "there is no C compiler (Debian: apt-get install gcc python3-dev)."
    if not (Path(sysconfig.get_path("include")) / "Python.h").exists():
        return "Python's header files are missing (Debian: apt-get install python3-dev)."
    return ""


def _compile(made: Path) -> None:
    """Twins of all modules into ``made/lib``, all else that comes up into folders beside it."""
    from mypyc.build import mypycify
    from setuptools import Distribution

    os.chdir(PACKAGE.parent)  # where mypy finds its settings, and the modules their names
    os.environ["CFLAGS"] = " ".join([os.environ.get("CFLAGS", ""), *FLAGS])
    extensions = mypycify(
        [f"--cache-dir={made / 'mypy'}", *[f"{PACKAGE.name}/{module}.py" for module in MODULES]],
        group_name=GROUP,
        opt_level="2",
        target_dir=str(made / "c"),
    )
    command = Distribution({"name": GROUP, "ext_modules": extensions}).get_command_obj("build_ext")
    command.build_lib, command.build_temp = str(made / "lib"), str(made / "objects")
    command.ensure_finalized()
    command.run()


if __name__ == "__main__":
    sys.exit(main())
