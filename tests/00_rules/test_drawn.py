"""What the property tests draw is the same at every run, whatever has been loaded, and something new when asked for."""

from __future__ import annotations

import sys

import pytest

from house import ROOT
from programs import run

DRAW = """
import sys; sys.path.insert(0, "tests")
import drawn; drawn.settle()
{loaded}
from hypothesis import given, settings, strategies as st
found = []
@settings(max_examples=300)
@given(st.floats(-1e3, 1e3), st.integers(), st.text(max_size=9))
def draw(a, b, c): found.append((a, b, c))
draw()
print(hash(repr(found)))
"""


def printed(loaded="", **environment):
    return run(sys.executable, "-c", DRAW.format(loaded=loaded), cwd=ROOT, PYTHONHASHSEED="0", **environment).stdout


@pytest.fixture(scope="module")
def alone():
    return printed()


def test_the_same_is_drawn_again_whatever_modules_of_ours_are_loaded(alone):
    assert alone.strip()
    assert printed("import stampwright.pipeline") == alone


def test_the_long_command_draws_something_new_each_time(alone):
    again = [printed(STAMPWRIGHT_TEST_EXAMPLES="2000") for _ in range(2)]
    assert len({alone, *again}) == 3
