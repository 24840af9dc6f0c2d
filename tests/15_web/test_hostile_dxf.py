"""Hostile DXF through the running service, in slots that may use 300 MiB: refused by their count, not by their cost."""

from __future__ import annotations

import base64

import pytest

from dxf_drawings import dxf
from hostile_dxf import HOSTILE
from stampwright.artwork.limits import LIMITS
from stampwright.slots import Limits, Slots
from stampwright.web import create_app

COUNTED = {limit.code for limit in LIMITS.values()} | {"no-ink"}


@pytest.fixture(scope="module")
def client():
    slots = Slots(1, limits=Limits(memory_mb=300))
    yield create_app(compute=slots).test_client()
    slots.stop()


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_dxf_is_refused_in_words(client, name):
    answer = client.post("/v1/reviews", json={"mark_base64": base64.b64encode(dxf(HOSTILE[name])).decode()})
    (error,) = answer.get_json()["errors"]
    assert answer.status_code == 422
    assert error["code"] in COUNTED
    assert len(error["detail"]) > 20
