# Everything a person or CI does with this checkout. Needs python3 (3.11 or newer, with pip and venv) and nothing else.
PYTHON ?= python3
PYTEST_ARGS ?= -n auto --dist loadfile
BIN = .venv/bin

.PHONY: help run setup test check bench lock clean

help:  ## this list
	@grep -E '^[a-z]+:.*## ' Makefile | sed -E 's/^([a-z]+):.*## /  make \1\t/' | expand -t 16

run: setup  ## set up, then judge the logs of the demo shop
	@$(BIN)/coldsoak demo demo-shop --keep
	@$(BIN)/coldsoak judge demo-shop/logs/* --report demo-shop/report.html

setup:  ## .venv with the program in it
	@$(PYTHON) scripts/setup_env.py

test: check  ## set up, then everything CI checks
	$(BIN)/pytest $(PYTEST_ARGS)

check:  ## set up, then the linter, the formatter and the type checker
	@$(PYTHON) scripts/setup_env.py --dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

bench:  ## set up, then measure speed and judgement
	@$(PYTHON) scripts/setup_env.py --bench
	@status=0; for script in benchmarks/*.py; do echo "$$script"; $(BIN)/python "$$script" || status=1; done; exit $$status

lock:  ## make requirements/*.txt anew (newest releases: make lock UPGRADE=--upgrade)
	@$(PYTHON) scripts/setup_env.py --lock $(UPGRADE)

clean:  ## remove what the other commands made
	rm -rf .venv build dist demo-shop .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find src tests scripts benchmarks -name __pycache__ -type d -prune -exec rm -rf {} +
