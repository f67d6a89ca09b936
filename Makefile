# make demo   the site with an invented club, at http://127.0.0.1:8000
# make test   all tests, browser included
# make check  what CI runs: style, types, floors, migrations, both databases, S3 storage

PYTHON ?= python3
PORT ?= 8000
BIN := .venv/bin
VAR := var
# One more at once than there are processors, since browser tests wait; who is idle takes over.
TESTS := $(BIN)/python -m pytest -n $(shell expr $$(getconf _NPROCESSORS_ONLN) + 1) --dist worksteal
# What depends on the database: models and services, and the pages that people write from, several at once.
WRITING := inviting place placing room
JOURNEYS := seminar_room
ON_BOTH := tests/models $(WRITING:%=tests/views/test_%.py) $(JOURNEYS:%=tests/browser/test_%.py)
PICTURE_TESTS = tests/models/test_pictures*.py tests/views/test_pictures*.py
DEMO_ENV = PYTHONUNBUFFERED=1 TRAINER_PLAIN_HTTP=1 TRAINER_SECRET_KEY="$$(cat $(VAR)/secret-key)"

.PHONY: demo test lint check lock

demo: .venv/demo $(VAR)/secret-key
	$(DEMO_ENV) $(BIN)/python manage.py migrate --verbosity 0
	$(DEMO_ENV) $(BIN)/python manage.py createcachetable
	$(DEMO_ENV) $(BIN)/python manage.py collectstatic --noinput --verbosity 0
	$(DEMO_ENV) $(BIN)/python manage.py load_demo
	@echo "Placing Room: http://127.0.0.1:$(PORT)/ (stop with Ctrl-C)"
	$(DEMO_ENV) $(BIN)/gunicorn trainer.wsgi --bind 127.0.0.1:$(PORT) --workers 2 --threads 4

test: .venv/dev
	sh bin/ensure-chromium
	$(TESTS)

lint: .venv/dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/djlint templates --lint --quiet
	TRAINER_DEBUG=1 $(BIN)/python manage.py makemigrations --check --dry-run

check: lint test
	$(BIN)/python -m tests.on_postgresql $(TESTS) --on-the-database $(ON_BOTH)
	$(BIN)/python -m tests.on_s3 $(BIN)/python -m pytest $(PICTURE_TESTS)

lock: .venv/dev
	$(BIN)/uv pip compile pyproject.toml -o requirements.lock --generate-hashes --universal --python-version 3.11 --no-header --quiet
	$(BIN)/uv pip compile pyproject.toml --group dev -o requirements-dev.lock --generate-hashes --universal --python-version 3.11 --no-header --quiet

# The marker files say which lock the virtual environment was made from.
.venv/demo: requirements.lock
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	touch $@

.venv/dev: requirements-dev.lock
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-dev.lock
	touch $@ .venv/demo

$(VAR)/secret-key:
	mkdir -p $(VAR)
	umask 077 && $(PYTHON) -c "import secrets; print(secrets.token_urlsafe(48))" > $@
