"""Whatever JSON is sent as a job, the answer is a job within its bounds or refusals with places."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stampwright.base import JobError
from stampwright.job import JobSchema, read_job

SECTIONS = JobSchema().fields
WORDS = sorted({name for field in SECTIONS.values() if hasattr(field, "schema") for name in field.schema.fields})

values = st.recursive(
    st.none()
    | st.booleans()
    | st.floats()
    | st.integers()
    | st.text(max_size=8)
    | st.sampled_from(["round", "in", "mm"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(WORDS) | st.text(max_size=5), inner),
    max_leaves=12,
)


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(st.sampled_from(sorted(SECTIONS)) | st.text(max_size=5), values, max_size=5))
def test_any_json_is_read_or_refused_with_places(data):
    with suppress(JobError):
        read_job(data)
        return
    with pytest.raises(JobError) as caught:
        read_job(data)
    assert all(refusal.pointer.startswith("/job") and refusal.code != "invalid" for refusal in caught.value.refusals)


lengths = st.floats(1.0, 100.0).map(lambda value: round(value, 3))


@settings(max_examples=100, deadline=None)
@given(width=lengths, height=lengths, margin=st.floats(0, 40).map(lambda value: round(value, 2)))
def test_a_head_takes_its_margin_or_says_so(width, height, margin):
    job = {"head": {"width": width, "height": height}, "placement": {"margin": margin}}
    if 2 * margin < min(width, height):
        assert read_job(job).placement.margin_mm == margin
    else:
        with pytest.raises(JobError, match="leaves nothing of the head"):
            read_job(job)


@settings(max_examples=100, deadline=None)
@given(inches=st.integers(20, 1900).map(lambda hundredths: hundredths / 100))
def test_inches_and_millimetres_meet_to_a_nanometre(inches):
    read = read_job({"units": "in", "head": {"width": inches, "height": 19}, "placement": {"margin": 0}}).head.width_mm
    assert abs(read - inches * 25.4) < 1e-9
