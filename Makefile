# One command each, from a bare checkout with Python 3.11 and make: everything needed is created on the way
# in .venv, at the versions pinned in constraints.txt, and a second run starts at once.
# Choose the Python with `make PYTHON=python3.12 demo`; where the environment goes with VENV=...

PYTHON ?= python3
VENV ?= .venv
PYTEST_FLAGS ?= -n auto
LOCK_FLAGS ?=
KERNEL ?= 1
MUTANTS ?= --sample 8 --seed 1

BIN := $(VENV)/bin
UV := $(BIN)/uv
UV_INSTALL := $(UV) pip install --quiet --python $(BIN)/python \
	--constraints constraints.txt --build-constraints constraints.txt
# Stamps live in the environment, so that removing it removes them too.
TOOLS := $(VENV)/.stamp-tools
RUNTIME := $(VENV)/.stamp-runtime
DEV := $(VENV)/.stamp-dev

.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
.PHONY: help demo test test-all check bench mutants kernel wheel docs format lock clean \
	check-format check-lint check-types check-layers check-docs check-constraints

help: ## list the commands
	@awk -F ':.*## ' '/^[a-z-]+:.*## / { printf "  make %-9s %s\n", $$1, $$2 }' Makefile

demo: $(RUNTIME) ## plan the example lift into out/
	@$(BIN)/plumbhook demo --out out

test: $(DEV) ## run the tests (the slow tier apart); other options: PYTEST_FLAGS=-x
	@$(BIN)/pytest -q $(PYTEST_FLAGS)

test-all: $(DEV) ## run every test, the slow tier too
	@PLUMBHOOK_TESTS=thorough $(BIN)/pytest -q -m "" $(PYTEST_FLAGS)

check: check-format check-lint check-types check-layers check-docs check-constraints ## format, lint, types, layers, generated docs, constraints

check-format: $(DEV)
	@$(BIN)/ruff format --check .

check-lint: $(DEV)
	@$(BIN)/ruff check .

check-types: $(DEV)
	@$(BIN)/mypy

check-layers: $(DEV)
	@$(BIN)/lint-imports

check-docs: $(DEV)
	@$(BIN)/python scripts/make_docs.py --check

check-constraints:
	@if grep -n '://' constraints.txt; then echo "constraints.txt names a host; run 'make lock'" >&2; exit 1; fi

bench: $(DEV) ## time the solver beside other tools; writes docs/benchmarks.md
	@$(UV_INSTALL) --group bench --group kernel || \
		echo "what is compared with could not all be installed; what is missing is left out" >&2
	@found=0; for script in bench/bench_*.py; do \
		[ -f "$$script" ] || continue; \
		found=1; echo "$$script"; $(BIN)/python "$$script" || exit 1; \
	done; [ $$found -eq 1 ] || echo "no benchmark yet: bench/ has no bench_*.py"

mutants: $(DEV) ## change the checks in small wrong ways: do the tests notice? (slow); MUTANTS="--sample 4"
	@$(BIN)/python scripts/mutate.py $(MUTANTS)

kernel: $(DEV) ## compile the statics kernel into the environment
	@$(UV_INSTALL) --group kernel
	@$(BIN)/python -m plumbhook.statics.kernel.build

wheel: $(DEV) ## build dist/*.whl with the compiled kernel; for other systems too: KERNEL=every
	@$(UV_INSTALL) --group build --group kernel
	@PLUMBHOOK_BUILD_KERNEL=$(KERNEL) $(UV) build --wheel --no-build-isolation --python $(BIN)/python --out-dir dist
	@$(BIN)/python -c 'import pathlib, zipfile; \
		wheel = max(pathlib.Path("dist").glob("plumbhook-*.whl"), key=lambda path: path.stat().st_mtime); \
		found = [name for name in zipfile.ZipFile(wheel).namelist() if "/kernel/built/" in name]; \
		print(wheel, *(found or ["has no compiled kernel (why is said above); solves run in numpy"]), sep="\n  ")'

docs: $(DEV) ## write the generated pages of docs/ anew
	@$(BIN)/python scripts/make_docs.py

format: $(DEV) ## format the code and mend what the linter can
	@$(BIN)/ruff check --fix-only --quiet .
	@$(BIN)/ruff format .

lock: $(TOOLS) ## pin the dependencies of pyproject.toml; newer versions: LOCK_FLAGS=--upgrade
	@$(UV) pip compile pyproject.toml --group dev --group build --group kernel --group bench --group peers \
		--extra fast --extra geometry --extra sheets --universal --python-version 3.11 \
		--no-header --no-annotate --quiet $(LOCK_FLAGS) -o constraints.txt

clean: ## remove the environment, caches and builds; plans in out/ stay
	rm -rf $(VENV) build dist .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
	find . -path ./.git -prune -o -type d -name __pycache__ -prune -exec rm -rf {} +

# The environment: first the installer, then what a user needs, then what a developer needs on top.

$(TOOLS):
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
		echo "Plumbhook needs Python 3.11 or newer, and '$(PYTHON)' is not; name one: make PYTHON=python3.11 ..." >&2; \
		exit 1; }
	@$(PYTHON) -m venv $(VENV) || { \
		echo "No environment could be made in $(VENV); some systems have it in a package of its own (python3-venv)." >&2; \
		exit 1; }
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --constraint constraints.txt uv
	@touch $@

$(RUNTIME): $(TOOLS) pyproject.toml constraints.txt
	@$(UV_INSTALL) --editable .
	@touch $@

$(DEV): $(RUNTIME)
	@$(UV_INSTALL) --group dev
	@touch $@
