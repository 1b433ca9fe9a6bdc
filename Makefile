VENV ?= .venv
PYTHON := $(VENV)/bin/python
READY := $(VENV)/.ready

FUZZ ?= 20000

.PHONY: help build check test bench fuzz reference fonts clean

help: ## show what can be made
	@grep -E '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed 's/:.*## /\t/'

$(READY): pyproject.toml
	python3 -m venv $(VENV)
	$(PYTHON) -m pip install --quiet --editable '.[test]'
	touch $(READY)

build: $(READY) ## make all documents and lists of kits/ in build/
	$(PYTHON) -m kitbuild build

check: $(READY) ## find problems in kits/ without writing anything
	$(PYTHON) -m kitbuild check

test: $(READY) ## lint, check the direction of imports, run the tests
	$(PYTHON) -m ruff check kitbuild tests
	$(PYTHON) -m ruff format --check kitbuild tests
	$(VENV)/bin/lint-imports
	$(PYTHON) -m pytest

bench: $(READY) ## time each stage for the demo range and for a piece of 400 x 300 holes
	$(PYTHON) -m tests.bench
	$(PYTHON) -m tests.bench.rebuild

fuzz: $(READY) ## build 20,000 damaged specs (FUZZ=N for another number), kill 200 builds and each step
	$(PYTHON) -m tests.fuzz $(FUZZ)
	$(PYTHON) -m tests.fuzz.kills
	$(PYTHON) -m tests.fuzz.posting

reference: $(READY) ## write the reference of keys and codes in README.md anew
	$(PYTHON) -m tests.reference

fonts: $(READY) ## cut the shipped fonts anew from an installed DejaVu Sans
	$(PYTHON) -m kitbuild.fonts.make

clean: ## remove what was built
	rm -rf build dist
