"""JSON is read into records by their annotations; what does not fit is named with its place."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from stampwright_sdk._reading import Mismatch, record


@dataclass(frozen=True)
class Hole:
    drill_mm: float
    turns: int
    tap: str | None


@dataclass(frozen=True)
class Head:
    holes: tuple[Hole, ...]
    size_mm: tuple[float, float]
    passed_over: dict[str, str]


RAW = {"holes": [{"drill_mm": 5, "turns": 8, "tap": None}], "size_mm": [38, 28.5], "passed_over": {"a": "b"}}


def test_a_record_is_read_with_all_it_holds():
    assert record(Head, RAW) == Head((Hole(5.0, 8, None),), (38.0, 28.5), {"a": "b"})


def test_what_a_newer_service_says_more_is_passed_by():
    assert record(Head, RAW | {"colour": "gold"}) == record(Head, RAW)


def test_what_may_be_none_may_be_missing():
    assert record(Hole, {"drill_mm": 5.1, "turns": 8}).tap is None


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"holes": [{"drill_mm": "5", "turns": 8}]}, "#/holes/0/drill_mm is '5', not of type float"),
        ({"holes": [{"drill_mm": 5.1, "turns": True}]}, "#/holes/0/turns is True, not of type int"),
        ({"holes": [{"drill_mm": 5.1, "turns": 8.5}]}, "#/holes/0/turns is 8.5, not of type int"),
        ({"holes": [{"turns": 8}]}, "#/holes/0/drill_mm is missing"),
        ({"holes": [7]}, "#/holes/0 is not an object"),
        ({"holes": {}}, "#/holes is not a list"),
        ({"size_mm": [38]}, "#/size_mm has 1 items instead of 2"),
        ({"passed_over": []}, "#/passed_over is not an object"),
    ],
)
def test_what_does_not_fit_is_named_with_its_place(changed, says):
    with pytest.raises(Mismatch) as caught:
        record(Head, RAW | changed)
    assert str(caught.value) == says
