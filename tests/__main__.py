"""`python3 tests`: sets up the environment when it is not there, then runs all tests in it, a file at a time on each
of two processes. With arguments they go to pytest, in one process: `python3 tests tests/08_review -k corner`.

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
# Two, as many as the service's own slots take: more would make the tests of load and deadlines wait for each other. A
# file stays whole, for its tests share the servers it starts, and the files keep the order of the stages.
WHOLE = ("-n", "2", "--dist", "loadfile", "--no-loadscope-reorder")
environment.run("-m", "pytest", *(sys.argv[1:] or WHOLE), cwd=TESTS.parent)
