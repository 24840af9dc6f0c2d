"""The trees of errors, as drawn and as built; no refusal without code, place and words."""

from __future__ import annotations

import builtins
import re

import pytest

import stampwright_sdk.errors
from stampwright.base import problems

TREES = [(problems, problems.StampwrightError), (stampwright_sdk.errors, stampwright_sdk.errors.StampwrightError)]
IDS = ["service", "sdk"]


def below(kind, depth=0):
    """Every class below `kind` with its depth, parents before children."""
    for child in kind.__subclasses__():
        yield child.__name__, depth
        yield from below(child, depth + 1)


def drawn(module):
    """Every name in the drawing with its depth: four columns a level."""
    for line in module.__doc__.splitlines():
        if found := re.match(r"    ((?:│   |    )*)[├└]── (\w+)", line):
            yield found[2], len(found[1]) // 4


@pytest.mark.parametrize(("module", "root"), TREES, ids=IDS)
def test_the_drawn_tree_is_the_tree_in_the_code(module, root):
    assert list(drawn(module)) == list(below(root))


@pytest.mark.parametrize("root", [root for _, root in TREES], ids=IDS)
def test_no_error_shadows_a_builtin(root):
    assert not {name for name, _ in below(root)} & set(dir(builtins))


def test_a_refusal_shows_its_code_its_place_and_its_words():
    text = str(problems.JobError.at("too-small", "the head is 3 mm wide; give it 10", pointer="/job/head/width"))
    assert text == "the head is 3 mm wide; give it 10 [too-small at /job/head/width]"


def test_a_refusal_cannot_be_blank():
    with pytest.raises(ValueError, match="reason"):
        problems.ArtworkError([])


def test_a_refusal_names_every_reason_at_once():
    both = [problems.Refusal("a", "first"), problems.Refusal("b", "second", element="/svg/path[1]")]
    assert str(problems.ArtworkError(both)) == "first [a at mark]; second [b at /svg/path[1]]"
