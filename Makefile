# Everything that can be done with this project. `make help` lists it.

PORT ?= 8000
HOST ?= 127.0.0.1
DATA ?= var
DEMO ?= first
SITE_URL ?=
PROXY ?= 127.0.0.1,::1

python := .venv/bin/python
# One file at a time for each core and four more, because many tests wait for programs that they have started; the
# longest first in one half of them, the short ones in the other: tests/side_by_side.py.
side_by_side := -n $(shell expr $$(getconf _NPROCESSORS_ONLN) + 4) --dist loadfile --no-loadscope-reorder
templates = $(shell find templates -name '*.html')
# How every lock is made: one file for all machines and Pythons, with no trace of where it was resolved.
compile := $(python) -m uv --quiet pip compile --universal --generate-hashes --python-version 3.11 \
	--no-emit-index-url --no-emit-find-links --custom-compile-command "make lock"
# Settings of a garage behind its proxy, for the checks that only mean something there.
deployed := DATA=$(CURDIR)/var/check SECRET_KEY=$$($(python) -c 'import secrets; print(secrets.token_urlsafe(64))') \
	SITE_URL=https://garage.example.org

export PYTHON

.DEFAULT_GOAL := help
.PHONY: help run backup restore new-key units test test-postgresql bench mutants lint format migrations messages tour lock lock-check advisories clean

help: ## List the targets
	@echo "Tickover. Targets:"
	@awk -F ':.*## ' '/^[a-z-]+:.*## / { printf "  make %-16s %s\n", $$1, $$2 }' $(MAKEFILE_LIST)
	@echo "  PORT=$(PORT) HOST=$(HOST) DATA=$(DATA) DEMO=first (or never) and SITE_URL= configure a run; PYTHON= chooses the Python for .venv."

run: ## Install what is missing and start the garage; Ctrl-C stops it
	@.ci/set_up run
	@exec $(python) -m garage.running.serve --host "$(HOST)" --port "$(PORT)" --data "$(DATA)" --demo "$(DEMO)" --site-url "$(SITE_URL)" --proxy "$(PROXY)"

# What works on a garage's data finds it as `make run` does.
on_data := DATA="$(DATA)" $(if $(SITE_URL),SITE_URL="$(SITE_URL)") $(python) manage.py

backup: ## Write database, photos, clips, papers and keys of DATA into one file, also while it runs
	@.ci/set_up run
	@$(on_data) backup

restore: ## Put the backup FILE= back into DATA; OVER=yes over a garage that is there, after copying it
	@.ci/set_up run
	@$(on_data) restore $(if $(FILE),"$(FILE)") $(if $(filter yes,$(OVER)),--over)

new-key: ## Change the key that signs links and log-ins; they go on until FORGET_OLD=yes drops the earlier keys
	@.ci/set_up run
	@$(on_data) new_key $(if $(filter yes,$(FORGET_OLD)),--forget-old)

units: ## Write the units of systemd that start DATA as four services, from the variables set now, into INTO= (var/units)
	@.ci/set_up run
	@$(on_data) units --into "$(or $(INTO),var/units)" --host "$(HOST)" --port "$(PORT)" --proxy "$(PROXY)" $(if $(SERVICE_USER),--user "$(SERVICE_USER)")

# Tests start many programs: each would compile all of the rooms again where this is set.
test test-postgresql: export PYTHONDONTWRITEBYTECODE :=
test: ## Install what is missing and run every test: all on SQLite, then those for both databases on PostgreSQL
	@.ci/set_up test
	$(python) -m pytest $(side_by_side)
	@$(MAKE) --no-print-directory test-postgresql

test-postgresql: ## Run the tests for both databases on a PostgreSQL started for them
	@.ci/set_up test
	$(python) -m tests.servers postgresql -- $(python) -m pytest $(side_by_side) -m both_databases tests

bench: ## Measure judgement, hearing and planner beside reference methods, post junk, kill workers; the planner alone takes over an hour
	@.ci/set_up test
	OPENBLAS_NUM_THREADS=1 $(python) -m tests.bench.judgement tests/bench/judgement.md
	OPENBLAS_NUM_THREADS=1 $(python) -m tests.bench.sensitivity tests/bench/sensitivity.md
	OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 NUMBA_NUM_THREADS=1 $(python) -m tests.bench.hearing 62 tests/bench/hearing.md
	OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 $(python) -m tests.bench.yard --file tests/bench/yard.md
	OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 $(python) -m tests.bench.left_out --file tests/bench/left_out.md
	$(python) -m tests.bench.planning 1000 tests/bench/planning.md
	$(python) -m tests.bench.junk 20000 tests/bench/junk.md
	$(python) -m tests.bench.kills 40 tests/bench/kills.md
	$(python) -m tests.bench.mail_kills 40 tests/bench/mail_kills.md
	$(python) -m tests.bench.soak 1800 tests/bench/soak.md
	$(python) -m tests.bench.weeks 60 tests/bench/weeks.md
	OPENBLAS_NUM_THREADS=1 $(python) -m tests.bench.runs tests/bench/runs.md
	$(python) -m tests.bench.numbers 10000 tests/bench/numbers.md
	$(python) -m tests.bench.pages 20000 tests/bench/pages.md
	$(python) -m tests.bench.bookings tests/bench/bookings.md
	$(python) -m tests.bench.first_words tests/bench/first_words.md
	$(python) -m tests.bench.memory 10000 tests/bench/memory.md
	OPENBLAS_NUM_THREADS=1 DATA=var/bench $(python) -m tests.bench.report tests/bench/report.md
	OPENBLAS_NUM_THREADS=1 $(python) -m tests.bench.papers tests/bench/papers.md

mutants: ## Change cores and changes a little at a time and list what no test notices; MODULE= tries a file or folder fully
	@.ci/set_up test
	$(python) -m tests.bench.mutants $(MODULE)

lint: ## Check style, types, imports, dead code, templates, migrations and the settings of a deployed garage
	@.ci/set_up test
	$(python) -m ruff check .
	$(python) -m ruff format --check .
	$(python) -m mypy
	.venv/bin/lint-imports
	$(python) -m tests.rules.dead_code
	.venv/bin/djade --target-version 5.2 --check $(templates)
	.venv/bin/djlint templates --lint
	@mkdir -p var/check/static
	$(deployed) $(python) manage.py migrate --verbosity 0
	$(deployed) $(python) manage.py makemigrations --check --dry-run
	$(deployed) $(python) manage.py check --deploy --fail-level WARNING

format: ## Format code and templates
	@.ci/set_up test
	$(python) -m ruff check --fix .
	$(python) -m ruff format .
	.venv/bin/djade --target-version 5.2 $(templates)

migrations: ## Write the migrations for changed models
	@.ci/set_up run
	$(python) manage.py makemigrations

messages: ## Collect what owners read into the catalogues of German and Italian, and compile them
	@.ci/set_up test
	$(python) manage.py messages

tour: ## Play one visit from booking to payment on a throw-away database; its papers go to var/tour
	@.ci/set_up test
	$(python) manage.py tour

lock: ## Resolve the libraries again and write the hashed locks
	@.ci/set_up test
	$(compile) --upgrade requirements/run.in -o requirements/run.txt
	$(compile) --upgrade --constraint requirements/run.txt requirements/dev.in -o requirements/dev.txt

lock-check: ## Check that the locks resolve to wheels for Python 3.11 to 3.13 on x86-64 and arm64
	@.ci/set_up test
	@set -e; for lock in run dev; do for version in 3.11 3.12 3.13; do for chip in x86_64 aarch64; do \
		$(python) -m uv --quiet pip install --dry-run --target var/check/wheels --no-deps --only-binary :all: --require-hashes \
			--python-version $$version --python-platform $$chip-manylinux_2_28 -r requirements/$$lock.txt; \
		echo "requirements/$$lock.txt has a wheel of everything for Python $$version on $$chip"; \
	done; done; done

advisories: ## Ask the index for advisories of the locked libraries; needs the network, and is no part of the tests
	@.ci/set_up test
	@$(python) -m tests.rules.advisories

clean: ## Remove what was built here; the data in var stays
	rm -rf .venv .mypy_cache .ruff_cache .pytest_cache .import_linter_cache .hypothesis var/check
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
