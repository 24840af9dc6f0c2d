"""What shipped code may not hold, and how large its pieces may be."""

from __future__ import annotations

import ast
import re
import statistics

import pytest

from house import SHIPPED, TESTS, named, tree_of

MOST_MODULE_LINES, USUAL_MODULE_LINES = 400, 160
MOST_FUNCTION_LINES, USUAL_FUNCTION_LINES = 70, 10
USUAL_TEST_LINES = 8


def nodes(path, *kinds):
    return [node for node in ast.walk(tree_of(path)) if isinstance(node, kinds)]


def functions(path):
    return nodes(path, ast.FunctionDef, ast.AsyncFunctionDef)


def lines_of(function):
    """Lines of a function without decorators and docstring: what one has to follow."""
    has_docstring = ast.get_docstring(function, clean=False) is not None
    docstring = function.body[0].end_lineno - function.body[0].lineno + 1 if has_docstring else 0
    return function.end_lineno - function.lineno + 1 - docstring


def length_of(path):
    return len(path.read_text(encoding="utf-8").splitlines())


@pytest.mark.parametrize("path", SHIPPED, ids=named)
def test_shipped_code_does_not_assert(path):
    assert [node.lineno for node in nodes(path, ast.Assert)] == []


@pytest.mark.parametrize("path", SHIPPED, ids=named)
def test_shipped_code_leaves_nothing_to_do(path):
    assert re.findall(r"\b(?:TODO|FIXME|XXX|HACK)\b", path.read_text(encoding="utf-8")) == []


def test_everything_is_caught_in_one_place_at_most_and_that_is_the_web():
    caught = {None, "Exception", "BaseException"}
    places = [
        named(path)
        for path in SHIPPED
        for node in nodes(path, ast.ExceptHandler)
        if (ast.unparse(node.type) if node.type else None) in caught
    ]
    assert len(places) <= 1
    assert all(place.startswith("service/stampwright/web/") for place in places)


@pytest.mark.parametrize("path", SHIPPED, ids=named)
def test_a_module_fits_in_the_head(path):
    assert length_of(path) <= MOST_MODULE_LINES


@pytest.mark.parametrize("path", SHIPPED, ids=named)
def test_a_function_fits_on_the_screen(path):
    too_long = {f.name: lines_of(f) for f in functions(path) if lines_of(f) > MOST_FUNCTION_LINES}
    assert too_long == {}


def test_modules_are_small_as_a_rule():
    assert statistics.median(length_of(path) for path in SHIPPED) <= USUAL_MODULE_LINES


def test_functions_are_small_as_a_rule():
    assert statistics.median(lines_of(f) for path in SHIPPED for f in functions(path)) <= USUAL_FUNCTION_LINES


def test_tests_are_short_as_a_rule():
    sizes = [lines_of(f) for path in TESTS for f in functions(path) if f.name.startswith("test_")]
    assert statistics.median(sizes) <= USUAL_TEST_LINES


@pytest.mark.parametrize("path", TESTS, ids=named)
def test_tests_drive_real_things(path):
    assert not re.search(r"unittest\.mock|import mock\b|MagicMock", path.read_text(encoding="utf-8")) or path.samefile(
        __file__
    )
