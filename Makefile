# Each target sets up .venv from the hashed lock when it is missing or older than the lock.
PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
STAMP  := $(VENV)/.installed

.PHONY: help demo test check bench real-inputs lock kernels clean
help:
	@echo "make demo   a job from two dimensions to a plan, with pictures and a drawn sample (a good minute after install)"
	@echo "make test   every test: laws, published values, second ways, pins"
	@echo "make check  lint, types, import contracts, docs"
	@echo "make bench  speed and memory, as ratios in one run"
	@echo "make real-inputs  surface files that others wrote, from two packages, into .cache: tests that need them run then"

$(STAMP): requirements.lock pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check "uv>=0.5"
	VIRTUAL_ENV=$(CURDIR)/$(VENV) $(BIN)/uv pip install --quiet --require-hashes --compile-bytecode -r requirements.lock
	VIRTUAL_ENV=$(CURDIR)/$(VENV) $(BIN)/uv pip install --quiet --no-deps --no-build-isolation --editable .
	@touch $(STAMP)

demo: $(STAMP)
	$(BIN)/python examples/demo.py

test: $(STAMP)
	$(BIN)/python -m pytest -q

check: $(STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python -m sphinx -W -q -b html docs $(VENV)/docs-html

bench: $(STAMP)
	$(BIN)/python bench/run.py

real-inputs: $(STAMP)
	$(BIN)/python tests/real_inputs.py

lock:
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-emit-find-links --no-annotate --no-header --extra dev --output-file requirements.lock pyproject.toml

kernels:
	find src -name "*.nb[ic]" -delete

clean:
	rm -rf $(VENV) build dist .mypy_cache .ruff_cache .pytest_cache
