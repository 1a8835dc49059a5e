# Needs git, make and Python 3.11 or later with venv. Everything else goes into .venv,
# from lock files with hashes; stamps in .venv say what is installed already.

PYTHON ?= python3
SECONDS_TO_PLAN ?= 20
# Processes that share the test files; each keeps a file to itself.
TESTERS ?= 2

BIN := .venv/bin
PLAN := build/plan.json
INSTALLED := .venv/installed
TOOLS := .venv/tools-installed
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check

.PHONY: run board test check slow nightly bench bench-full clean

run: $(INSTALLED) ## plan the demo yard and print the report
	$(BIN)/hullpace plan --yard demo_orders --seconds $(SECONDS_TO_PLAN) --out build

board: $(PLAN) ## show the plan in a browser (makes the plan first if there is none)
	$(BIN)/hullpace board --plan $(PLAN)

check: $(TOOLS) ## look only: style, form, types
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

test: check ## check, then every test but the slow ones, with a report of coverage
	$(BIN)/python -m pytest -m "not slow" -n $(TESTERS) --dist loadfile \
		--cov --cov-report=term

slow: $(TOOLS) ## exhaustive tests that take minutes
	$(BIN)/python -m pytest -m slow

nightly: $(TOOLS) ## kills and races of the store, a thousand of each
	$(BIN)/python -m pytest -m slow -s tests/crash

bench: $(TOOLS) ## measure one book of each size and write benchmarks/results
	$(BIN)/python -m benchmarks.suite quick $(if $(PROJECTS),--projects $(PROJECTS))

bench-full: $(TOOLS) ## the same on three books a size, about four hours; can be stopped
	$(BIN)/python -m benchmarks.suite full $(if $(PROJECTS),--projects $(PROJECTS))

clean: ## remove what the other targets have made
	rm -rf .venv build .coverage .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
	rm -rf ./*.egg-info

# The plan is made once; `make run` makes it anew.
$(PLAN): | $(INSTALLED)
	$(BIN)/hullpace plan --yard demo_orders --seconds $(SECONDS_TO_PLAN) --out build

.venv/created:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
	  echo "Python 3.11 or later is needed; name one: make PYTHON=python3.11" >&2; \
	  exit 1; }
	@echo "Setting up .venv (once)"
	$(PYTHON) -m venv .venv
	@touch $@

$(INSTALLED): requirements.lock pyproject.toml | .venv/created
	@echo "Installing what hullpace runs on (once)"
	$(PIP) --require-hashes -r requirements.lock
	PYTHONWARNINGS=ignore $(PIP) --no-deps --no-build-isolation -e .
	@touch $@

$(TOOLS): requirements-dev.lock $(INSTALLED)
	@echo "Installing what the tests need (once)"
	$(PIP) --require-hashes -r requirements-dev.lock
	@touch $@
