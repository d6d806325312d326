# make demo: sets everything up and proves the three example briefs; results on screen and in out/.
# make test: sets everything up and runs every check; make deep: the long checks as well.
# make bench: measures speed, as ratios against peer libraries in the same run.

PYTHON ?= python3.11
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
TOOLS := $(VENV)/.tools
SYSTEM := $(VENV)/.system
WARM := $(VENV)/.warm
DEMOS := demo-feedlot demo-hill demo-dairy

.PHONY: demo $(DEMOS) test deep bench clean
.DEFAULT_GOAL := demo

# Each brief is proved on one core, two at a time; a brief's table is printed whole when it is done.
demo: $(WARM)
	@$(MAKE) --no-print-directory -j 2 --output-sync=target $(DEMOS)
	@echo "documents, tables and figures are in out/"

$(DEMOS): demo-%:
	@$(BIN)/stockproof prove examples/$*/brief.toml --out out/$* --workers 1; [ $$? -le 1 ]

test: $(TOOLS) $(SYSTEM) $(WARM)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/pytest -n 2 -m "not deep"

deep: $(TOOLS) $(SYSTEM) $(WARM)
	$(BIN)/pytest -n 2

bench: $(TOOLS) $(WARM)
	@for file in bench/*.py; do echo "== $$file"; $(BIN)/python $$file || exit 1; done

$(BIN)/python:
	$(PYTHON) -m venv $(VENV)

$(READY): $(BIN)/python pyproject.toml constraints.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e .
	@touch $@

$(TOOLS): $(BIN)/python pyproject.toml constraints.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e .[dev]
	@touch $@ $(READY)

# The compiled kernels are made once, at set-up, and kept beside their sources.
$(WARM): $(READY)
	@echo "compiling the kernels, once: this takes two or three minutes"
	@$(BIN)/python tools/warm
	@touch $@

# Programs outside Python that the tests need; a missing one fails here and never skips a test.
$(SYSTEM): system-packages.txt
	@./tools/system-packages
	@touch $@

clean:
	rm -rf $(VENV) out .mypy_cache .ruff_cache .pytest_cache .hypothesis
