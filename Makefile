# Each target sets up what it needs from nothing. Data: GYLEBOOK_HOME; port: GYLEBOOK_PORT; database: DATABASE_URL.
.PHONY: start test check bench lock docs clean

BIN := .venv/bin

start: .venv/ready
	$(BIN)/gylebook serve

test: .venv/ready
	scripts/system-packages
	scripts/test

check: .venv/ready
	scripts/check

bench: .venv/ready
	$(BIN)/python benchmarks/run.py

docs: .venv/ready
	$(BIN)/python scripts/write_docs.py

lock:
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-emit-index-url \
		--all-extras --group dev pyproject.toml --output-file requirements.lock

.venv/ready: requirements.lock pyproject.toml scripts/setup
	scripts/setup

clean:
	rm -rf .venv build dist
