# Springwalk: `make help` lists what there is. Nothing here needs more than Python 3.11 or newer and make.
PYTHON ?= $(shell command -v python3.11 || command -v python3)
VENV   := .venv
BIN    := $(VENV)/bin
RUN    := $(VENV)/.runtime
DEV    := $(VENV)/.dev
PIP    := $(BIN)/python -m pip --disable-pip-version-check --no-input -qq
WORKERS ?= 2
CODE   := $(wildcard src tests benchmarks builders)
PIP_TOOLS := 7.6.2
# Pins and hashes must come from the ordinary registry, whatever this machine's pip has been told.
CLEAN_PIP := env -u PIP_FIND_LINKS -u PIP_CONSTRAINT -u PIP_EXTRA_INDEX_URL PIP_CONFIG_FILE=/dev/null

# Compiled files are kept, whatever the environment says: tests are compiled once, not for each worker and each run.
export PYTHONDONTWRITEBYTECODE :=
# As springwalk sets it, for whatever reads numpy first.
export OPENBLAS_NUM_THREADS := 1

MAKEFLAGS += --no-print-directory
.DEFAULT_GOAL := help
.PHONY: help demo serve check test lint format bench lock clean

help:            ## this list
	@sed -nE 's/^([a-z]+):[^#]*## (.*)/  make \1\t\2/p' $(MAKEFILE_LIST) | expand -t 18

demo: $(RUN)     ## set up, take in the example season, print the morning sheet of 17 May 2016
	@$(BIN)/springwalk demo

serve: $(RUN)    ## the example season as pages on this machine (after make demo)
	@$(BIN)/springwalk serve --store springwalk-demo/season.db --today 2016-05-17

check: lint      ## before each commit, under a minute: lint and the fast tests
	@$(BIN)/python -m pytest -m "not slow and not browser" -n $(WORKERS)

test: lint       ## everything this machine can run
	@$(BIN)/python -m pytest -n $(WORKERS)

lint: $(DEV)     ## ruff, mypy, import contracts
	@$(BIN)/ruff check --quiet $(CODE)
	@$(BIN)/ruff format --quiet --check $(CODE)
	@$(BIN)/lint-imports --no-logo > $(VENV)/imports.log || { cat $(VENV)/imports.log; exit 1; }
	@$(BIN)/mypy --no-error-summary

format: $(DEV)   ## put the code in its form
	@$(BIN)/ruff check --quiet --fix $(CODE)
	@$(BIN)/ruff format --quiet $(CODE)

bench: $(DEV)    ## time and memory as seen on this machine
	@$(BIN)/python -m benchmarks

lock: $(VENV)/.lock  ## pin the newest releases that pyproject.toml allows, with hashes
	@$(call pin,requirements.txt,what Springwalk runs on,)
	@$(call pin,requirements-dev.txt,what Springwalk runs on and is tested with,--extra dev --constraint requirements.txt)

clean:           ## take away what make made
	@rm -rf $(VENV) .mypy_cache .ruff_cache .pytest_cache .import_linter_cache .hypothesis build site

# --- stamps: each is made again only when what it rests on has changed -------------------------------------------
$(BIN)/python:
	@$(PYTHON) -m venv $(VENV)

$(RUN): requirements.txt pyproject.toml | $(BIN)/python
	@echo "Setting up .venv (about a minute the first time) …" >&2
	@$(PIP) install --require-hashes -r requirements.txt
	@$(PIP) install --no-deps --no-build-isolation --editable .
	@touch $@

$(DEV): requirements-dev.txt $(RUN)
	@$(PIP) install --require-hashes -r requirements-dev.txt
	@touch $@

$(VENV)/.lock: | $(BIN)/python
	@$(PYTHON) -m venv $(VENV)/lock
	@$(VENV)/lock/bin/python -m pip --disable-pip-version-check -qq install pip-tools==$(PIP_TOOLS)
	@touch $@

# pin FILE,WORDS,OPTIONS: compile into a scratch file, keep the pins and hashes, put one line of words on top.
define pin
$(CLEAN_PIP) $(VENV)/lock/bin/pip-compile --quiet --upgrade --generate-hashes --strip-extras --allow-unsafe \
	--no-header --no-annotate --no-emit-index-url --no-emit-trusted-host --no-emit-find-links --no-emit-options \
	--build-deps-for editable $(3) --output-file $(VENV)/lock/$(1) pyproject.toml 2> $(VENV)/lock/log \
	|| { cat $(VENV)/lock/log; exit 1; }; \
{ echo "# Pinned with hashes: $(2). Made by \`make lock\` from pyproject.toml; do not edit."; \
  grep -v '^#' $(VENV)/lock/$(1) | sed '/^$$/d'; } > $(1)
endef
