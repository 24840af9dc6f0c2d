"""A mark that cannot be made still gets its plan, with the step at which it fails and the reason."""

import dataclasses

import pytest

from cut_faces import clover, plan_of
from stampwright.base import Finding
from stampwright.cutting import with_failure

SAYS, REMEDY = "A land is only 0.05 mm wide.", "Thicken it."


@pytest.fixture(scope="module")
def plan():
    return plan_of(clover())[1]


def finding(code, severity="stop"):
    return Finding(code=code, severity=severity, says=SAYS, remedy=REMEDY)


@pytest.mark.parametrize(
    ("code", "kind"), [("thin-land", "wall"), ("hole-too-deep", "tap"), ("outside-margin", "rough")]
)
def test_a_fault_comes_to_light_at_its_step(plan, code, kind):
    failing = with_failure(plan, [finding(code)])
    assert plan.operations[failing.fails_at_step - 1].kind == kind
    assert failing.fails_because == f"{SAYS} {REMEDY}"


def test_the_earliest_fault_is_told(plan):
    both = with_failure(plan, [finding("thin-land"), finding("hole-too-deep")])
    assert plan.operations[both.fails_at_step - 1].kind == "tap"


def test_the_plan_itself_stays(plan):
    failing = with_failure(plan, [finding("thin-land")])
    assert dataclasses.replace(failing, fails_at_step=None, fails_because=None) == plan


def test_what_fails_in_the_fire_fails_no_step_of_the_cutting(plan):
    assert with_failure(plan, [finding("metal-too-cool")]) is plan


def test_warnings_fail_no_plan(plan):
    assert with_failure(plan, [finding("thin-land", "warning")]) is plan
