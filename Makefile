# Colla Parte. `make demo` and `make test` need python3.11 (with venv), git and make; nothing else.
PYTHON ?= python3.11
PORT ?= 8000
VENV := .venv
PY := $(VENV)/bin/python
PIP := $(PY) -m pip --disable-pip-version-check --quiet install --constraint requirements.lock
RUNTIME := $(VENV)/.stamp-runtime
DEV := $(VENV)/.stamp-dev
STRICT ?=
TESTS ?= tests
JOBS ?= 2
export PORT
export STRICT

.PHONY: help demo serve setup test fast check lint types contracts migrations bench growth simulated load predict \
        accuracy risk corpus pictures backup restore kill-test lock

help:            ## this list
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed 's/:.*##/\t/' | expand -t 14

$(PY):
	@command -v $(PYTHON) >/dev/null 2>&1 || { echo "Python 3.11 is needed: install python3.11, or name it: make PYTHON=/path/to/python3.11"; exit 1; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info[:2] != (3, 11))' || { echo "Python 3.11 is needed; $(PYTHON) is $$($(PYTHON) --version)."; exit 1; }
	@$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null || { echo "This Python cannot make virtual environments. On Debian and Ubuntu: apt-get install python3.11-venv"; exit 1; }
	@echo "Making the virtual environment."
	@$(PYTHON) -m venv $(VENV)

$(RUNTIME): $(PY) requirements.txt requirements.lock
	@echo "Installing what the site needs (once)."
	@$(PIP) -r requirements.txt
	@touch $@

$(DEV): $(RUNTIME) requirements-dev.txt requirements-served.txt
	@echo "Installing what the tests need (once)."
	@$(PIP) -r requirements-dev.txt
	@touch $@

setup: $(DEV)    ## virtual environment with everything, nothing started

demo: $(RUNTIME) ## the site with its demo course on PORT=8000; Ctrl-C stops all
	@$(PY) -m config.run demo

serve: $(RUNTIME) ## the same without the demo course and without one-click sign-in
	@$(PY) -m config.run serve

test: $(DEV)     ## all tests that can run here; says what was skipped and why (STRICT=1: nothing may be)
	@$(PY) -m pytest $(TESTS) -n $(JOBS) --dist worksteal -ra -rR

fast: $(DEV)     ## the quick loop: no slow, browser or corpus test
	@$(PY) -m pytest $(TESTS) -n $(JOBS) --dist worksteal -m "not slow and not browser and not corpora and not services"

lint: $(DEV)
	@$(PY) -m ruff check .
	@$(PY) -m ruff format --check .

types: $(DEV)
	@$(PY) -m mypy config courses analysis submissions demo

contracts: $(DEV)
	@$(VENV)/bin/lint-imports

migrations: $(DEV)
	@$(PY) manage.py makemigrations --check --dry-run

check: lint types contracts migrations ## what .ci/run runs
	@$(MAKE) --no-print-directory test STRICT=1

simulated: $(DEV) ## 10,000 claims with known flags, over the corpora and the demo piece: docs/trust.md
	@$(PY) -m tests.simulated --report docs/trust.md

bench: $(DEV)    ## speed and memory, as ratios against a reference in the same run
	@$(PY) -m analysis.engine.bench

growth: $(DEV)   ## time over bars and parts, and by analysis: docs/growth.md with its plot
	@$(PY) -m tests.bench.growth --out docs

# Corpora: CORPORA, or the folder `shared` beside the checkout.
CORPORA ?= $(abspath $(CURDIR)/../shared)
CORPUS ?= $(CORPORA)/eval
SCORES ?= $(CORPORA)/scores:$(CORPORA)/eval/scores_roles_keys
OUT ?= $(CURDIR)/var/accuracy
LOO ?=
TRAIN := .venv-train/.stamp
export CORPORA
export LOO

predict: $(DEV)  ## SCORES=dir:dir OUT=dir: one prediction file a score; knows no answers
	@$(PY) -m analysis.engine.predict --scores "$(SCORES)" --out "$(OUT)"

$(TRAIN): $(PY) requirements-train.txt requirements.lock
	@echo "Installing what training needs, apart (once)."
	@$(PYTHON) -m venv .venv-train
	@.venv-train/bin/python -m pip --disable-pip-version-check --quiet install --constraint requirements.lock -r requirements-train.txt
	@touch $@

accuracy: $(DEV) $(if $(filter 1,$(LOO)),$(TRAIN)) ## predict, then score against CORPUS/data in a second process; LOO=1: works left out of all training; PLOTS=docs/pictures: calibration plots
	@TRAIN_PYTHON=$(CURDIR)/.venv-train/bin/python $(PY) -m tests.accuracy --scores "$(SCORES)" --corpus "$(CORPUS)" --out "$(OUT)" $(if $(PLOTS),--plots "$(PLOTS)")

risk: $(DEV) $(TRAIN) ## precision of the flags on roles and keys against the share decided, works left out: docs/risk.md with its plot
	@TRAIN_PYTHON=$(CURDIR)/.venv-train/bin/python $(PY) -m tests.risk

corpus: $(DEV)   ## every score of the corpora through upload to ready, with figures
	@$(PY) -m tests.corpus $(if $(TAKE),--take $(TAKE))

kill-test: $(DEV) ## KILLS=60 of each of web, worker, broker; DATABASE=sqlite or postgres; SEED=1
	@$(PY) -m tests.kill --database $(or $(DATABASE),sqlite) --kills $(or $(KILLS),60) --seed $(or $(SEED),1)

pictures: $(DEV) ## the README's pictures, from the demo that runs on PORT
	@$(PY) -m tests.pictures http://127.0.0.1:$(PORT) docs/pictures

backup: $(RUNTIME)  ## FILE=name.tar.gz: database and files, while the site runs
	@test -n "$(FILE)" || { echo "Say where to: make backup FILE=backup.tar.gz"; exit 1; }
	@$(PY) -m config.run.backup save "$(FILE)"

restore: $(RUNTIME) ## FILE=name.tar.gz, into an empty folder (VAR_DIR), and compared
	@test -n "$(FILE)" || { echo "Say what from: make restore FILE=backup.tar.gz"; exit 1; }
	@$(PY) -m config.run.backup restore "$(FILE)"

lock: $(DEV)     ## write requirements.lock from what is installed
	@{ echo "# Every version, to the digit: a constraints file (pip install -r ... -c requirements.lock)."; \
	   echo "# Made by: make lock"; \
	   $(PY) -m pip --disable-pip-version-check freeze | grep -viE '^(pip|setuptools)==' ; } > requirements.lock.new
	@mv requirements.lock.new requirements.lock
