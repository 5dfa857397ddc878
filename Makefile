# make setup   prepares .venv (quickly, and without effect when nothing changed)
# make demo    sets up and compares the options of the example scenario
# make test    sets up and runs every check
# make verify  sets up, plays what has a known answer, and runs the checks that take minutes
# make bench   sets up and prints how long a simulated year takes
# make fields  sets up and writes the generated part of scenarios/README.md anew
# make picture sets up and takes the picture of a report that README shows (needs Chromium)
# make lock    writes requirements.txt anew (maintainers; needs uv)
# make clean   removes what the above made
#
# PYTHON=python3.12 make setup   chooses the interpreter; without it the first Python 3.11 or newer is taken.

SHELL := /bin/sh
VENV := .venv
PLUGINS := $(patsubst %/pyproject.toml,%,$(sort $(wildcard plugins/*/pyproject.toml)))
PROJECTS := . $(PLUGINS)
INPUTS := requirements.txt $(PROJECTS:%=%/pyproject.toml)

# tests run on all cores, in their order; a process that is done takes over from the end of another's
ON_ALL_CORES := -n auto --maxprocesses 8 --dist worksteal

# what .venv was made from: the place, and the files that say what goes in
KEY = { pwd; cksum $(INPUTS); } | cksum
MADE_FROM := $(VENV)/.made-from
NEW_ENOUGH := import sys; sys.exit(sys.version_info < (3, 11))

# bytecode too, so that no command compiles its modules anew where Python is told to keep none (a half of its start)
MADE_READY := sh -c '$(VENV)/bin/python -m compileall -qq -j 0 planner plugins; exec $(VENV)/bin/python -m planner.compiled'

# of tests pytest keeps what it rewrites, whatever Python is told otherwise: a third of what finding them takes
KEPT := PYTHONDONTWRITEBYTECODE=

.PHONY: setup demo test types tests verify bench fields picture lock clean

# pip would compile what it installs on one core only; what is not compiled here is when it is first imported
setup:
	@if [ -x $(VENV)/bin/python ] && [ "$$($(KEY))" = "$$(sed -n 1p $(MADE_FROM) 2>/dev/null)" ] \
	  && { [ -z '$(PYTHON)' ] || [ '$(PYTHON)' = "$$(sed -n 2p $(MADE_FROM))" ]; }; then \
	  exec $(MADE_READY); \
	fi; \
	set -eu; python='$(PYTHON)'; \
	if [ -z "$$python" ]; then \
	  for name in python3 python3.13 python3.12 python3.11 python3.14; do \
	    if "$$name" -c '$(NEW_ENOUGH)' >/dev/null 2>&1; then python=$$name; break; fi; \
	  done; \
	fi; \
	if [ -z "$$python" ] || ! "$$python" -c '$(NEW_ENOUGH)' >/dev/null 2>&1; then \
	  echo "Python 3.11 or newer is missing$${python:+ ($$python is not)}. Debian 12 or newer: apt-get install python3 python3-venv" >&2; \
	  exit 1; \
	fi; \
	if ! "$$python" -c 'import ensurepip, venv' >/dev/null 2>&1; then \
	  echo "Python's venv module is missing. Debian: apt-get install python3-venv" >&2; exit 1; \
	fi; \
	echo "Preparing $(VENV) with $$("$$python" --version): a minute or two, once"; \
	"$$python" -m venv --clear $(VENV); \
	pip="$(VENV)/bin/python -m pip --disable-pip-version-check --no-input"; \
	$$pip install -qq --no-compile --require-hashes -r requirements.txt; \
	$$pip install -qq --no-deps --no-index --no-build-isolation $(PROJECTS:%=-e %); \
	$(VENV)/bin/python -m compileall -qq -j 0 $(VENV)/lib || true; \
	{ $(KEY); echo "$$python"; } > $(MADE_FROM); \
	exec $(MADE_READY)

demo: setup
	$(VENV)/bin/planner compare scenarios/example.yaml

test: setup
	$(VENV)/bin/ruff check .
	$(VENV)/bin/ruff format --check .
	$(VENV)/bin/lint-imports --no-logo
	@$(MAKE) --no-print-directory -j 2 types tests

# beside each other: mypy has work for one core alone
types:
	$(VENV)/bin/mypy

tests:
	$(KEPT) $(VENV)/bin/pytest $(ON_ALL_CORES)

verify: setup
	$(VENV)/bin/planner verify scenarios/example.yaml
	$(KEPT) $(VENV)/bin/pytest -m long

bench: setup
	$(VENV)/bin/python -m tests.bench

fields: setup
	$(VENV)/bin/planner fields --into scenarios/README.md

picture: setup
	$(VENV)/bin/planner compare scenarios/example.yaml
	$(VENV)/bin/python -m tests.picture reports/example/index.html reports/example.png

lock:
	@command -v uv >/dev/null || { echo "uv is missing; it writes requirements.txt" >&2; exit 1; }
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-config \
	  --custom-compile-command "make lock" --extra dask --extra dev --group build pyproject.toml --output-file requirements.txt

clean:
	rm -rf $(VENV) planner/compiled/twins dist .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
	find planner plugins tests -name __pycache__ -type d -prune -exec rm -rf {} +
