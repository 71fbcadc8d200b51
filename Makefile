# Everything a person or CI does with this checkout. Needs python3 (3.11 or newer, with pip and venv) and nothing else.
PYTHON ?= python3
PYTEST_ARGS ?= -n auto --dist loadfile
BIN = .venv/bin
SHOP = demo-shop
UNIT = $(SHOP)/units/orrin-r6.yaml
LAMP = $(SHOP)/logs/wo-2044-orrin-van-lamp-comes-and-goes.csv
AFTER = $(SHOP)/logs/wo-2044-orrin-van-after-short-road-test.csv
ROUND = $(SHOP)/logs/wo-2044-orrin-van-after-delivery-round.csv
COLD = $(SHOP)/logs/wo-2041-kestane-estate-road-test.csv
PAPERS = $(SHOP)/hand-over-customer.pdf $(SHOP)/report.html $(SHOP)/tear-down.pdf $(SHOP)/pan-bolts.svg \
  $(SHOP)/level-window.svg $(SHOP)/evidence.svg
# What was written by an older state of the program is written again.
PROGRAM = $(shell find src -type f -not -name '*.pyc')

.PHONY: help run demo setup test check bench pictures lock clean

help:  ## this list
	@grep -E '^[a-z]+:.*## ' Makefile | sed -E 's/^([a-z]+):.*## /  make \1\t/' | expand -t 16

run: demo  ## set up, take the demo job from complaint to hand-over, serve the shop's pages
	@$(BIN)/coldsoak serve --data $(SHOP)/data --demo $(SHOP)

demo: setup $(PAPERS)  ## set up, and take the demo job from complaint to hand-over
	@echo 'In $(SHOP) lie report.html (judge), tear-down.pdf (plan), pan-bolts.svg (build), level-window.svg (fill),'
	@echo 'evidence.svg (prove), jobs/wo-2044.record and hand-over-customer.pdf, -technical.pdf, -invoice.pdf (record).'

$(SHOP)/README.txt: $(PROGRAM)
	@$(BIN)/coldsoak demo $(SHOP) --keep
	@touch $@

$(SHOP)/report.html: $(SHOP)/README.txt
	@$(BIN)/coldsoak judge $(SHOP)/logs/* --report $@

$(SHOP)/tear-down.pdf: $(SHOP)/README.txt
	@$(BIN)/coldsoak plan $(UNIT) --service lead_frame_repair --crib $(SHOP)/crib.yaml --prices $(SHOP)/prices.yaml --pdf $@

$(SHOP)/pan-bolts.svg: $(SHOP)/README.txt
	@$(BIN)/coldsoak tighten $(UNIT) pan_bolts --svg $@

$(SHOP)/level-window.svg: $(SHOP)/README.txt
	@$(BIN)/coldsoak fill plan $(UNIT) --fluid "LX-6 thin" --bottle-temp 20degC --thermometer contact \
	  --out "drain=4.3L@55degC,bucket" --opened valve_body --prices $(SHOP)/prices.yaml --svg $@
	@$(BIN)/coldsoak fill forecast $(COLD) --channel "Gearbox fluid temperature" --window 38..48 --at 300

$(SHOP)/evidence.svg: $(SHOP)/README.txt
	@$(BIN)/coldsoak prove $(LAMP) $(AFTER) --also-after $(ROUND) --svg $@

$(SHOP)/jobs/wo-2044.record: $(SHOP)/README.txt
	@rm -f $@
	@$(BIN)/coldsoak record write $(SHOP)/jobs/wo-2044.yaml

$(SHOP)/hand-over-customer.pdf: $(SHOP)/jobs/wo-2044.record
	@$(BIN)/coldsoak record handover $< --logs $(SHOP)/logs --out $(SHOP)

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

pictures:  ## set up, and make the pictures of the pages in docs/ anew
	@$(PYTHON) scripts/setup_env.py --dev
	@$(BIN)/python scripts/screenshots.py

lock:  ## make requirements/*.txt anew (newest releases: make lock UPGRADE=--upgrade)
	@$(PYTHON) scripts/setup_env.py --lock $(UPGRADE)

clean:  ## remove what the other commands made
	rm -rf .venv build dist demo-shop .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find src tests scripts benchmarks -name __pycache__ -type d -prune -exec rm -rf {} +
