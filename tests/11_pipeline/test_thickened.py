"""Thin lands grown, through the whole line: every later stage works on the grown face, the mark stays as drawn."""

import numpy as np
import pytest

from stamped import MARKS, stamp_of
from stampwright.documents import stamp_json
from stampwright.job import read_job
from stampwright.pipeline import make_stamp, review_mark

HAIRLINES = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="24mm" height="24mm" viewBox="0 0 24 24">'
    b'<path fill="none" stroke="#000" stroke-width="0.3" d="M2 2h20v20h-20zM2 12h20M12 2v20"/></svg>'
)


def job(*, thicken, **relief):
    return read_job({"placement": {"fit": "actual_size"}, "relief": {"thicken": thicken, **relief}})


@pytest.fixture(scope="module")
def plain():
    return make_stamp(HAIRLINES, job(thicken=False))


@pytest.fixture(scope="module")
def grown():
    return make_stamp(HAIRLINES, job(thicken=True))


def test_thin_lands_are_found_without_and_mended_with_growing(plain, grown):
    assert [f.code for f in plain.review.findings if f.code == "thin-land"]
    assert "relief.thicken" in next(f.remedy for f in plain.review.findings if f.code == "thin-land")
    assert not [f.code for f in grown.review.findings if f.code == "thin-land"]
    assert grown.review.land_min_mm == pytest.approx(0.5, abs=0.005)


def test_the_solid_holds_what_was_added(plain, grown):
    added_mm3 = grown.growth.added_mm2 * grown.face.relief_mm
    assert grown.solid.volume_mm3 - plain.solid.volume_mm3 == pytest.approx(added_mm3, rel=1e-4)
    wanted_mm2 = 20.5**2 - 19.5**2 + 2 * 19.5 * 0.5 - 0.5**2  # a frame and a cross in it, of bars 0.5 wide
    assert grown.growth.added_mm2 == pytest.approx(wanted_mm2 - plain.face.ink.area, abs=0.02)


def test_plan_and_mark_follow_the_grown_face_and_the_drawing(plain, grown):
    cleared = sum(area.area for area in grown.plan.cleared[:1])
    assert cleared < plain.face.head.area - grown.face.ink.area + 1
    assert grown.mark.ink.equals(plain.mark.ink)


def test_pressing_follows_the_grown_face(plain, grown):
    """As hard as the wood asks, on each square millimetre of land."""
    forces = np.divide(grown.use.press_force_n, plain.use.press_force_n)
    assert forces == pytest.approx(grown.face.ink.area / plain.face.ink.area, rel=0.01)


def test_what_a_gap_keeps_thin_keeps_its_finding():
    beside = HAIRLINES.replace(b"M2 12h20M12 2v20", b"M2.8 4v16M3.6 4v16")  # gaps of 0.5 mm that spare nothing
    made = make_stamp(beside, job(thicken=True))
    thin = [finding for finding in made.review.findings if finding.code == "thin-land"]
    assert thin
    assert all("could not be grown further" in finding.remedy for finding in thin)
    assert any(place.gap_forbade for place in made.growth.places)


@pytest.mark.parametrize("name", ["dandelion", "windrose", "frost"])  # the demo's marks with thin lands
def test_growing_never_makes_more_places_of_what_is_too_thin(name):
    mark = MARKS[name]
    asked = read_job({**mark.job, "relief": {**mark.job.get("relief", {}), "thicken": True}})
    before, after = stamp_of(name).review, review_mark(mark.svg, asked).review
    for codes in (("thin-land", "speck"), ("slender-land",)):
        was, now = (told(review, codes) for review in (before, after))
        assert 0 < was >= now


def told(review, codes):
    """How many findings of these codes there are, the listed and the others."""
    return sum(f.code in codes for f in review.findings) + sum(review.findings_left_out.get(code, 0) for code in codes)


def test_drafted_walls_stand_on_the_grown_lands(grown):
    drafted = make_stamp(HAIRLINES, job(thicken=True, draft_deg=4))
    assert drafted.solid.watertight
    assert drafted.solid.volume_mm3 > grown.solid.volume_mm3


def test_the_same_mark_gives_the_same_bytes(grown):
    assert stamp_json(make_stamp(HAIRLINES, job(thicken=True))) == stamp_json(grown)
