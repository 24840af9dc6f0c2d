"""`python3 tests [arguments of pytest]`: sets up the environment when it is not there, then runs the tests in it.

`python3 tests corpora ...` runs the long comparison with published artwork instead, `python3 tests growth
...` the growing of thin lands on published icons, `python3 tests widths ...` the widths of such icons by pixels.
"""

import sys
from pathlib import Path

TESTS = Path(__file__).resolve().parent
sys.path.insert(0, str(TESTS.parent / "service"))

import environment  # noqa: E402  it lives beside the service

if sys.argv[1:2] in (["corpora"], ["growth"], ["widths"]):
    environment.run(str(TESTS / sys.argv[1]), *sys.argv[2:])
environment.run("-m", "pytest", *sys.argv[1:], cwd=TESTS.parent)
