"""The client costs little: it brings no geometry, no web framework, and prints nothing."""

from __future__ import annotations

import logging

import pytest

from programs import python

GEOMETRY_AND_WEB = {"numpy", "shapely", "scipy", "flask", "marshmallow", "stampwright"}
COLOURS = {"click", "rich"}
FOR_CALLS = {"requests", "urllib3", "ssl", "email", "zipfile"}


def modules_after(statement):
    return set(
        python("-c", f"{statement}; import sys; print(*{{name.split('.')[0] for name in sys.modules}})").stdout.split()
    )


@pytest.mark.parametrize("statement", ["import stampwright_sdk", "import stampwright_sdk.embedded"])
def test_importing_the_client_brings_nothing_heavy(statement):
    assert not modules_after(statement) & (GEOMETRY_AND_WEB | COLOURS)


def test_what_only_calls_need_is_loaded_by_the_first_call():
    """Counted in place of timed: these are half of what loading the client took."""
    assert not modules_after("import stampwright_sdk") & FOR_CALLS


def test_the_command_line_brings_what_it_prints_with_and_nothing_else():
    assert modules_after("import stampwright_sdk.command.app") & (GEOMETRY_AND_WEB | COLOURS) == COLOURS


def test_logging_is_left_to_the_caller():
    handlers = logging.getLogger("stampwright_sdk").handlers
    assert [type(handler) for handler in handlers] == [logging.NullHandler]


def test_without_its_extra_the_command_says_what_to_install():
    refused = python("-c", "import sys; sys.modules['click'] = None; from stampwright_sdk.command import main; main()")
    assert refused.returncode == 2
    assert refused.stderr == "The command line needs click: pip install 'stampwright-sdk[cli]'\n"
