"""`python3 tests [arguments of pytest]`: sets up the environment when it is not there, then runs the tests in it.

`python3 tests NAME ...` runs a long comparison instead: the folders here that have a `__main__`, such as `corpora`.
"""

import sys
from pathlib import Path

TESTS = Path(__file__).resolve().parent
LONG_RUNS = {path.parent.name for path in TESTS.glob("*/__main__.py")}
sys.path.insert(0, str(TESTS.parent / "service"))

import environment  # noqa: E402  it lives beside the service

if LONG_RUNS & set(sys.argv[1:2]):
    environment.run(str(TESTS / sys.argv[1]), *sys.argv[2:])
environment.run("-m", "pytest", *sys.argv[1:], cwd=TESTS.parent)
