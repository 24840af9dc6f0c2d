"""The laid paths of the register's marks: they clear what they claim, and leave every wall alone."""

import pytest

from stamped import NAMES, stamp_of
from swept import assert_covered_and_unharmed


@pytest.mark.parametrize("name", NAMES)
def test_discs_along_the_paths_cover_what_is_claimed_and_cut_into_no_wall(name):
    stamp = stamp_of(name)
    assert_covered_and_unharmed(stamp.face, stamp.plan, {cutter.key: cutter for cutter in stamp.job.cutters})
