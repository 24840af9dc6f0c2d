"""Names are matched exactly; a miss says what there is."""

import pytest

from stampwright import catalogue
from stampwright.base import JobError

ASKED = [
    (catalogue.metal_named, catalogue.METALS, "unknown-metal", "/job/metal"),
    (catalogue.substrate_named, catalogue.SUBSTRATES, "unknown-substrate", "/job/substrate"),
    (catalogue.cutter_named, catalogue.CUTTERS, "unknown-cutter", "/job/cutters"),
    (catalogue.thread_named, catalogue.THREADS, "unknown-thread", "/job/thread/size"),
    (catalogue.tap_named, catalogue.TAPS, "unknown-tap", "/job/thread/tap"),
]
each_table = pytest.mark.parametrize(("named", "table", "code", "pointer"), ASKED, ids=[row[2] for row in ASKED])


@each_table
def test_every_name_of_the_catalogue_is_found(named, table, code, pointer):  # noqa: ARG001  one row for both tests
    assert [named(key) for key in table] == list(table.values())


@each_table
@pytest.mark.parametrize("spelt", ["", "brass", "Oak-White", " bottoming", "1/4-20", "flat 3.175"])
def test_a_name_that_is_nearly_right_is_refused_with_all_that_exist(named, table, code, pointer, spelt):
    with pytest.raises(JobError) as refused:
        named(spelt)
    (reason,) = refused.value.refusals
    assert (reason.code, reason.pointer) == (code, pointer)
    assert all(key in reason.detail for key in table)
