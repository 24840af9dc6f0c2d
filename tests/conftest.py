"""What all tests share: the application, a client of it in process, an environment without the developer's settings."""

from __future__ import annotations

import os

import pytest

import drawn
from in_process import ADDRESS, session_of
from served import Held

drawn.settle()


@pytest.fixture(scope="session", autouse=True)
def _bare_environment():
    with pytest.MonkeyPatch.context() as patch:
        for name in [name for name in os.environ if name.startswith("STAMPWRIGHT_")]:
            patch.delenv(name)
        yield


@pytest.fixture(scope="session")
def app():
    from stampwright.web import create_app

    return create_app()


@pytest.fixture
def client(app):
    from stampwright_sdk import Client

    with session_of(app) as session, Client(ADDRESS, session=session) as client:
        yield client


@pytest.fixture
def held(tmp_path):
    """Jobs that sleep until they are let go, at the latest when the test ends: a failure leaves nobody waiting."""
    yield (held := Held(tmp_path / "go"))
    held.let_go()
