# Everything a person does here, one word each. Works with GNU Make 3.81 and any POSIX shell.

RUN := .venv/ready-run
DEV := .venv/ready-dev
CODE := school lessons assessments tests manage.py .ci/words

# A Python that is not Homebrew's does not look where Homebrew puts Pango. The variable stands before
# each command because macOS takes it away from what a shell exports.
ifeq ($(shell uname -s),Darwin)
LIBRARIES := DYLD_FALLBACK_LIBRARY_PATH=/opt/homebrew/lib:/usr/local/lib:/usr/lib
endif
PYTHON_HERE := $(LIBRARIES) .venv/bin/python

# The settings of a site in earnest, for the deployment check; it writes nowhere but here.
IN_EARNEST := MARRAM_DEBUG=0 MARRAM_SITE_URL=https://school.example.org MARRAM_VAR_DIR=.venv/lint-var

.PHONY: help demo start run plan test words lint fmt clean

help: ## say what there is
	@awk -F ':.*## ' '/^[a-z]+:.*## / {printf "make %-6s %s\n", $$1, $$2}' Makefile

demo: $(RUN) ## play a whole school and start the site (FRESH=1: from nothing, SERVE=0: no site)
	@$(LIBRARIES) .ci/preflight pango
	@MARRAM_VAR_DIR="$${MARRAM_VAR_DIR:-var/demo}" $(PYTHON_HERE) manage.py demo $(if $(filter-out 0,$(FRESH)),--fresh) $(if $(filter 0,$(SERVE)),--no-serve)

start: $(RUN) ## open a new house (EMAIL=you@example.org NAME="Your Name": its owner)
	@$(PYTHON_HERE) manage.py start --email "$(EMAIL)" --name "$(NAME)"

run: $(RUN) ## serve the house on this machine until Ctrl-C
	@$(LIBRARIES) .ci/preflight pango
	@$(PYTHON_HERE) manage.py run

plan: $(RUN) ## plan a school from a file (FILE=school.json SECONDS=30 OUT=plan.json)
	@$(PYTHON_HERE) manage.py plan_file "$(FILE)" --seconds "$(or $(SECONDS),30)" --out "$(or $(OUT),plan.json)"

test: $(DEV) ## run every test (PYTEST_ARGS="-k enrol" for some)
	@$(LIBRARIES) .ci/preflight pango poppler chromium
	@MARRAM_CHROMIUM="$$(.ci/chromium)" $(PYTHON_HERE) -m pytest -n auto --dist worksteal $(PYTEST_ARGS)

words: $(DEV) ## bring the languages of the report up to date; says what is not translated
	$(PYTHON_HERE) .ci/words

lint: $(DEV) ## check style, types, layers, templates, migrations and settings
	.venv/bin/ruff check .
	.venv/bin/ruff format --check .
	.venv/bin/mypy $(CODE)
	.venv/bin/lint-imports
	.venv/bin/djlint templates --check --lint
	$(PYTHON_HERE) manage.py makemigrations --check --dry-run
	@echo manage.py check --deploy
	@$(IN_EARNEST) MARRAM_SECRET_KEY="$$(.venv/bin/python -c 'import secrets; print(secrets.token_urlsafe(64))')" \
		$(PYTHON_HERE) manage.py check --deploy --fail-level WARNING

fmt: $(DEV) ## put style in order where a tool can
	.venv/bin/ruff check --fix .
	.venv/bin/ruff format .
	@echo djlint templates --reformat
	@.venv/bin/djlint templates --reformat --quiet || true # it answers 1 when it changed something

clean: ## remove the virtual environment and the caches; what is stored in var/ stays
	rm -rf .venv .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache *.egg-info

$(RUN): pyproject.toml constraints.txt
	@.ci/venv run
	@touch $@

$(DEV): pyproject.toml constraints.txt
	@.ci/venv dev
	@touch $@ $(RUN)
