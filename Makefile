# Everything runs in an environment of its own, .venv, made on first use. PYTHON=python3.12 make test picks another Python.

PYTHON ?= python3
BIN := .venv/bin
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check --constraint constraints.txt

.PHONY: demo test lint lowest newest bench soak fuzz guided-fuzz mutants format readme proof docs clean

demo: .venv/installed
	$(BIN)/hydrokit check

test: .venv/installed-dev
	$(BIN)/python -m pytest -n auto --dist worksteal

lint: .venv/installed-dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python -m pytest -q -n 0 tests/project/test_lengths.py

# The same tests with other versions, each in an environment of its own: the lowest that pyproject.toml allows, which need
# PYTHON=python3.11 or 3.12, and the newest there are.
lowest newest: %: .venv-%/installed
	.venv-$@/bin/python -m pytest -n auto --dist worksteal

bench: .venv/installed-dev
	$(BIN)/python -m pytest -n 0 --benchmark-enable --benchmark-columns=min,median,rounds tests/benchmarks

# A million random networks; hours, at the lowest priority. SOAK="--topologies 100" makes it short; it goes on where it stopped.
soak: .venv/installed-dev
	OPENBLAS_NUM_THREADS=1 nice -n 19 $(BIN)/python -W error -m tests.soak.run --topologies 10000 $(SOAK)
	OPENBLAS_NUM_THREADS=1 nice -n 19 $(BIN)/python -W error -m tests.soak.run --first 10000 --topologies 10000 --compiled $(SOAK)
	SOAK=1 nice -n 19 $(BIN)/python -m pytest -q -n 2 tests/properties tests/studies/diagnosis/test_planted_faults.py

# A hundred thousand wrong, torn and unlikely files and command lines. FUZZ="--cases 1000 --seed 7" makes it short; --case 7 shows one.
fuzz: .venv/installed-dev
	OPENBLAS_NUM_THREADS=1 nice -n 19 $(BIN)/python -m tests.fuzz.run $(FUZZ)

# The same, led by the lines that are reached; atheris is no dependency, so it is installed here if it is not there.
guided-fuzz: .venv/installed-dev
	$(BIN)/python -c 'import atheris' 2> /dev/null || $(BIN)/python -m pip install --quiet atheris
	OPENBLAS_NUM_THREADS=1 nice -n 19 $(BIN)/python -m tests.fuzz.guided -runs=20000 -len_control=0 -max_len=256 $(FUZZ)

# Mutation testing of one room, in a copy under build/; cosmic-ray is no dependency and gets an environment of its own.
# MUTANTS="network --share 0.05 --slow" says what; it goes on where it stopped.
MUTANTS ?= laws
mutants: .venv-mutants/installed
	OPENBLAS_NUM_THREADS=1 nice -n 19 .venv-mutants/bin/python -m tests.mutation.run $(MUTANTS)

format: .venv/installed-dev
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

readme: .venv/installed-dev
	$(BIN)/python tests/project/readme.py
	$(BIN)/python tests/project/picture.py

proof: .venv/installed-dev
	$(BIN)/python tests/published/proof.py

docs: .venv/installed-dev
	$(BIN)/python tests/project/reference.py build/reference

clean:
	rm -rf .venv .venv-lowest .venv-newest .venv-mutants build dist .mypy_cache .ruff_cache .pytest_cache .import_linter_cache .hypothesis .benchmarks .soak.jsonl .mutation-*.json fuzzed

# The commands above need nothing but Python, its venv module and make.

.venv/bin/python:
	$(PYTHON) -c 'import sys; sys.exit("hydrokit needs Python 3.11 or newer; set PYTHON" if sys.version_info < (3, 11) else 0)'
	$(PYTHON) -m venv .venv

.venv-mutants/installed: pyproject.toml constraints.txt
	$(PYTHON) -m venv .venv-mutants
	.venv-mutants/bin/python -m pip install --quiet --disable-pip-version-check --constraint constraints.txt --editable '.[dev]' cosmic-ray==8.7.0 coverage==7.17.4
	touch $@

.venv/installed: pyproject.toml constraints.txt | .venv/bin/python
	$(PIP) --editable .
	touch $@

.venv/installed-dev: pyproject.toml constraints.txt | .venv/bin/python
	$(PIP) --editable '.[dev]'
	touch $@ .venv/installed

.venv-lowest/installed: CONSTRAINT := --constraint constraints-lowest.txt
.venv-lowest/installed .venv-newest/installed: pyproject.toml constraints-lowest.txt
	$(PYTHON) -m venv $(@D)
	$(@D)/bin/python -m pip install --quiet --disable-pip-version-check --upgrade --upgrade-strategy eager $(CONSTRAINT) --editable '.[dev]'
	touch $@
