# Everything a person or CI does with this checkout. Needs python3 (3.11 or newer, with pip and venv) and nothing else.
PYTHON ?= python3
PYTEST_ARGS ?= -n auto --dist loadfile
BIN = .venv/bin
DEMO_UNIT = demo-shop/units/orrin-r6.yaml

.PHONY: help run setup test check bench lock clean

help:  ## this list
	@grep -E '^[a-z]+:.*## ' Makefile | sed -E 's/^([a-z]+):.*## /  make \1\t/' | expand -t 16

run: setup  ## set up, then judge, plan and tighten for the demo shop
	@$(BIN)/coldsoak demo demo-shop --keep
	@$(BIN)/coldsoak judge demo-shop/logs/* --report demo-shop/report.html
	@$(BIN)/coldsoak plan $(DEMO_UNIT) --service lead_frame_repair --crib demo-shop/crib.yaml \
	  --prices demo-shop/prices.yaml --pdf demo-shop/tear-down.pdf
	@$(BIN)/coldsoak tighten $(DEMO_UNIT) pan_bolts --svg demo-shop/pan-bolts.svg
	@echo 'Judged, planned and tightened; in demo-shop lie report.html, tear-down.pdf and pan-bolts.svg'

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
