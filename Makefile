# Each target makes what it needs first, and skips what is there.
PYTHON3 ?= python3
PYTHON := .venv/bin/python
SETTINGS_OF_TESTS := $(PYTHON) -m tests.environment

# Pango unpacked beside the project, where it could not be installed.
ifneq ($(wildcard .syslibs/lib),)
export LD_LIBRARY_PATH := $(CURDIR)/.syslibs/lib
endif

.PHONY: help setup setup-tests run test test-sqlite test-postgres lint lint-types lint-rules check vectors bench screenshots pages trials tamper axe certificate docs

help:
	@echo "make run          start Loftbook with the demo house (PORT=..., LOFTBOOK_DEMO=no)"
	@echo "make setup        only make the Python environment, secrets and folders"
	@echo "make test         every test on SQLite, then those that meet rows on PostgreSQL"
	@echo "make check        linters, types, import rules, then make test"
	@echo "make certificate  HTTPS for the phones in the house (HOST=its name there)"
	@echo "make axe          accessibility of every page, look and size"
	@echo "make trials N=50  checks on a phone while line, browser and server are cut and killed"
	@echo "make tamper N=100   changes an evidence bundle N times; says which tool catches which"
	@echo "make vectors N=500  the engine and a second one on N ropes per rule set, and the shared file"
	@echo "make bench        measure"
	@echo "make docs         the handbook as pages to read, in var/docs/"
	@echo "make screenshots  make the pictures of the handbook"
	@echo "make pages        make pictures of every page, to be looked through"

setup:
	@$(PYTHON3) -m config.setup runtime

setup-tests:
	@$(PYTHON3) -m config.setup tests

run: setup
	@exec $(PYTHON) -m config.setup.launch

# Three at a time on two processors: a browser or a server is often waited for. The tests of a file
# share what was made for them, so they stay together.
SIDE_BY_SIDE := -q -n 3 --dist loadfile --no-loadscope-reorder --durations=25
test: test-sqlite test-postgres

test-sqlite: setup-tests
	$(PYTHON) -m pytest $(SIDE_BY_SIDE)

# A browser sees the same pages on either database; what meets no database, or meets rows only to
# have a file to look at, runs once.
test-postgres: setup-tests
	LOFTBOOK_TEST_DATABASE=postgres $(PYTHON) -m pytest $(SIDE_BY_SIDE) -m "database and not browser and not one_database"

# The types take as long as all the others together.
lint: setup-tests
	@$(MAKE) --no-print-directory --jobs 2 --output-sync=target lint-types lint-rules

lint-types:
	$(SETTINGS_OF_TESTS) mypy

lint-rules:
	.venv/bin/ruff check .
	.venv/bin/ruff format --check .
	.venv/bin/lint-imports --no-cache
	.venv/bin/bandit -q -r config venue rigging inspections -c pyproject.toml
	$(SETTINGS_OF_TESTS) django check --settings config.settings --fail-level WARNING
	$(SETTINGS_OF_TESTS) django makemigrations --settings config.settings --check --dry-run

check: lint test

# HTTPS for phones on the house's own network: make certificate HOST=loft.house.example
certificate: setup
	@$(PYTHON) -m config.setup.certificate $(HOST)

# Checks on a phone under faults, at random: make trials N=1000
N ?= 50
SEED ?= 1
trials: setup-tests
	@$(PYTHON) -m tests.trials $(N) $(SEED)

# Two engines on the same ropes, N for each rule set: make vectors N=10000 SEED=7 PROCESSES=1
vectors: N = 500
vectors: PROCESSES = 2
vectors: setup-tests
	@$(PYTHON) -m tests.second_engine $(N) $(SEED) $(PROCESSES)

# N single changes to an evidence bundle, and which tool of a stranger catches which
tamper: N = 100
tamper: SEED = 1
tamper: setup-tests
	@$(PYTHON) -m tests.tamper $(N) $(SEED)

# axe-core on every page, in every look, on a phone and at a desk
axe: setup-tests
	@$(PYTHON) -m tests.axe

# Whatever leads nowhere is a warning, and every warning a fault.
docs: setup-tests
	$(SETTINGS_OF_TESTS) sphinx -W --keep-going -q -b html -d var/docs-made docs var/docs
	@echo "Read it: var/docs/index.html"

bench: setup-tests
	$(PYTHON) -m bench
	$(PYTHON) -m bench.phone
	$(PYTHON) -m bench.taps
	$(PYTHON) -m bench.evidence
	$(PYTHON) -m bench.bundle
	$(PYTHON) -m bench.weight
	$(PYTHON) -m bench.journeys

screenshots: setup-tests
	$(PYTHON) -m bench.screenshots

# Every page of the demo house in three looks and two sizes, into bench/out/pages: make pages SAID_IN=de
pages: SAID_IN = en
pages: setup-tests
	$(PYTHON) -m bench.every_page bench/out/pages $(SAID_IN)
