"""Every number of a plan has its origin on record, and every origin is that of a number."""

import dataclasses

import pytest

from stampwright.cutting.origins import origins
from stampwright.cutting.plan import Blank, CuttingPlan, Operation, ThreadPlan

PLACES = {"operations.": Operation, "blank.": Blank, "thread.": ThreadPlan, "": CuttingPlan}
NUMBERS = {"float", "float | None", "int", "int | None", "tuple[float, float]"}
COUNTED = {"operations.step", "fails_at_step"}  # places in the order of work
MEASURED = {"left_uncut_mm2"}  # of an area that the plan holds


def numbers():
    """Places of the fields that hold a number."""
    return {
        place + field.name
        for place, kind in PLACES.items()
        for field in dataclasses.fields(kind)
        if field.type in NUMBERS
    } | MEASURED


def test_every_number_of_a_plan_has_one_origin():
    told = [origin.quantity for origin in origins()]
    assert len(told) == len(set(told))
    assert set(told) == numbers() - COUNTED


@pytest.mark.parametrize("origin", origins(), ids=lambda origin: origin.quantity)
def test_each_origin_names_a_rule_and_whose_it_is(origin):
    assert origin.says
    assert origin.source
