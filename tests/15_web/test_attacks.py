"""Attacks and crowds on the real server: who is answered, and what. `python3 tests siege` measures how quickly."""

from __future__ import annotations

import pytest

from attacks import MISDEEDS, crowd, health_beside_slow, misbehave, patient_crowd
from served import HOSTILE, served

DEADLINE_S = 1.5


@pytest.fixture(scope="module")
def service():
    with served(*HOSTILE, STAMPWRIGHT_JOB_DEADLINE_S=str(DEADLINE_S), STAMPWRIGHT_JOB_MEMORY_MB="256") as service:
        yield service


def test_misdeeds_cost_their_neighbours_nothing(service):
    siege = misbehave(service, neighbours=24)
    assert [kind for _, kind, _ in siege.hostile] == list(MISDEEDS.values())
    assert siege.lost == 0
    assert siege.pulse.took_ms
    assert siege.pulse.lost == 0


@pytest.mark.parametrize("kind", ["idle", "headers", "body"])
def test_slow_connections_do_not_touch_the_health(service, kind):
    pulse = health_beside_slow(service.url, kind, count=300, seconds=1.5)
    assert pulse.took_ms
    assert pulse.lost == 0


def test_a_crowd_is_served_or_told_when_to_come_back(service):
    answers = crowd(service, clients=200)
    assert set(answers) <= {(200, False), (503, True)}
    assert (200, False) in answers


def test_everybody_of_a_patient_crowd_is_served(service):
    assert patient_crowd(service, clients=30) == 30
