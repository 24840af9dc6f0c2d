"""What the stage hands on: the grown face and what is said of it; refusals in place of blots."""

import dataclasses
import math

import numpy as np
import pytest
import shapely
from shapely.affinity import rotate

from faces import face_of, job_with
from grown import bar, bars, ring, size
from stampwright.base import JobError
from stampwright.job import Limits, Relief
from stampwright.plane import diagram
from stampwright.thickening import thicken
from stampwright.thickening.measure import Narrowed
from stampwright.thickening.thicken import gap_kept_mm

FINE = dataclasses.replace(job_with().cutters[-1], key="flat-0.4", diameter_mm=0.4)
FIELD = shapely.box(-28, -28, 28, 28)


def thickened(shape, *, field=FIELD, cutters=(FINE,), **limits):
    job = dataclasses.replace(job_with(limits=Limits(**limits)), relief=Relief(thicken=True), cutters=cutters)
    return thicken(face_of(shape), job, field=field)


def test_a_place_is_told_with_its_width_before_and_after():
    face, _, growth, _ = thickened(bar(-5, -0.15, 5, 0.15))
    (place,) = growth.places
    assert (place.before_mm, place.after_mm) == pytest.approx((0.3, 0.5), abs=0.002)
    assert place.length_mm == pytest.approx(9.7, abs=0.01)  # of the ribs: the bar less half its width at each end
    assert place.added_mm2 == pytest.approx(10 * 0.2, rel=0.01)
    assert growth.added_mm2 == pytest.approx(face.ink.area - growth.drawn.area)
    assert not place.gap_forbade


def test_where_the_gap_forbids_the_full_width_it_is_said():
    growth = thickened(bars(3, width=0.3, gap=0.55)).growth
    middle = [place for place in growth.places if place.gap_forbade]
    assert [place.after_mm for place in middle] == pytest.approx([0.35], abs=0.002)
    assert middle[0].still_thin_mm == pytest.approx(middle[0].length_mm, rel=0.05)
    assert "cannot spare" in middle[0].says
    assert "; of 29.1 mm of thin land 9.7 mm stay thinner. At 1 place the gap" in growth.says


def test_where_gaps_forbid_all_nothing_is_called_grown():
    """The places are told all the same, and the face is the very one that was drawn."""
    slot = bar(-6, 0.45, 6, 3) | bar(-6, -3, 6, -0.45) | bar(-8, -3, -5.3, 3) | bar(5.3, -3, 8, 3)
    face, _, growth, drawn_axis = thickened(slot | bar(-5, -0.15, 5, 0.15))
    assert (growth.outcome, growth.added_mm2, drawn_axis) == ("left_as_drawn", 0.0, None)
    assert [place.gap_forbade for place in growth.places] == [True]
    assert "forbids it at the 1 place thinner" in growth.says
    assert face.ink.equals(growth.drawn)


def test_what_gains_nothing_that_could_be_measured_is_not_called_grown():
    """A bar with a dent of a tenth, a micrometre thinner there than the least width."""
    dent = shapely.Polygon([(-0.15, 0.2601), (-0.05, 0.239), (0.05, 0.239), (0.15, 0.2601)])
    face, _, growth, _ = thickened(bar(-5, -0.26, 5, 0.26) - dent)
    assert (growth.outcome, growth.places, growth.added_mm2) == ("nothing_thin", (), 0.0)
    assert face.ink.equals(growth.drawn)


def test_what_a_gap_denies_one_side_and_the_other_takes_is_said():
    told = [place.says for place in thickened(bars(2, width=0.3, gap=0.6)).growth.places]
    assert len(told) == 2  # of the tenth that each side wants the gap spares a half
    assert all("Where a gap denied one side, the other took up to 0.05 mm of its share." in says for says in told)
    assert "denied" not in thickened(bar(-5, -0.15, 5, 0.15)).growth.places[0].says


def test_a_mark_that_cannot_keep_what_it_must_is_cut_as_drawn(monkeypatch):
    """Whatever is grown, the measuring finds fault with it."""
    fault = Narrowed(np.array([[0.0, 0.0]]), np.ones(1))
    monkeypatch.setattr("stampwright.thickening.grow.new_narrow_places", lambda *_, **__: fault)
    face, axis, growth, _ = thickened(bar(-5, -0.15, 5, 0.15))
    assert growth.outcome == "left_as_drawn"
    assert face.ink.equals(growth.drawn)
    assert 2 * axis.radius_mm.max() == pytest.approx(0.3, abs=0.01)  # the review will find it thin
    assert "mend its findings in the drawing" in growth.says


@pytest.mark.parametrize("damage", [lambda ink: ink - bar(6, -0.5, 7, 0.5), lambda ink: ink | bar(12, -1, 14, 1)])
def test_a_mark_whose_lands_or_counters_would_change_in_number_is_cut_as_drawn(monkeypatch, damage):
    """Nothing becomes narrow by it: a wide counter in a wide body, or a land far beside it."""
    monkeypatch.setattr(
        "stampwright.thickening.grow.without_pockets",
        lambda made, *_, **__: shapely.MultiPolygon(shapely.get_parts(damage(made)).tolist()),
    )
    face, _, growth, _ = thickened(bar(-5, -0.15, 5, 0.15) | bar(5, -2, 9, 2))
    assert growth.outcome == "left_as_drawn"
    assert face.ink.equals(growth.drawn)


def test_the_finest_cutter_can_still_pass_where_it_could():
    coarse = dataclasses.replace(FINE, key="flat-0.7", diameter_mm=0.7)
    face, _, growth, _ = thickened(bars(2, width=0.3, gap=0.75), cutters=(coarse,))
    assert growth.gap_mm == pytest.approx(0.7)
    lower, upper = sorted(face.ink.geoms, key=lambda land: land.bounds[1])
    assert upper.bounds[1] - lower.bounds[3] == pytest.approx(0.7, abs=0.002)


def test_a_drafted_foot_still_leaves_the_cutter_its_way():
    job = dataclasses.replace(job_with(), relief=Relief(thicken=True, draft_deg=10), cutters=(FINE,))
    gap_mm = gap_kept_mm(job, 1.5)
    assert gap_mm == pytest.approx(0.4 + 2 * 1.5 * math.tan(math.radians(10)))
    made = thicken(face_of(bars(2, width=0.3, gap=1.0)), job, field=FIELD).face.ink
    lower, upper = sorted(made.geoms, key=lambda land: land.bounds[1])
    assert upper.bounds[1] - lower.bounds[3] == pytest.approx(gap_mm, abs=0.002)


def test_nothing_grows_past_the_margin():
    frame = bar(-20, -10, 20, 10) - bar(-19.7, -9.7, 19.7, 9.7)
    face = thickened(frame, field=shapely.box(-20, -10, 20, 10)).face
    assert size(face.ink) == pytest.approx((40, 20), abs=0.001)
    assert face.ink.area == pytest.approx(40 * 20 - 39 * 19, abs=0.02)  # half a millimetre, all of it inwards


@pytest.mark.parametrize("quad_segs", [4, 16])
def test_a_stroke_up_to_the_margin_is_as_wide_there_as_elsewhere(quad_segs):
    """Its round cap touches the margin, and cannot move; that is no reason to run thinner towards it."""
    stroke = shapely.LineString([(-9.85, 0), (9.85, 0)]).buffer(0.15, quad_segs=quad_segs)
    made = thickened(stroke, field=shapely.box(-10, -5, 10, 5)).face.ink
    assert size(made) == pytest.approx((20, 0.5), abs=0.002)
    assert made.area > made.envelope.area - 2 * 2 * (1 - math.pi / 4) * 0.25**2  # its ends no rounder than a disc
    assert made.convex_hull.area - made.area < 0.001


def test_growing_measures_once_more_than_the_review_does(monkeypatch):
    """A diagram of the drawn outlines, which says what is thin, and one of the grown, with which the review goes on."""
    built = []

    class Counted(diagram.Pyvoronoi):
        def Construct(self):  # noqa: N802  the library's name
            built.append(self)
            return super().Construct()

    monkeypatch.setattr(diagram, "Pyvoronoi", Counted)
    assert thickened(bar(-5, -0.15, 5, 0.15)).growth.outcome == "grown"
    assert len(built) == 2


def test_a_face_without_thin_lands_is_handed_on_as_it_is():
    face, _, growth, _ = thickened(ring(5, 3))
    assert growth.outcome == "nothing_thin"
    assert face.ink.equals(growth.drawn)


def test_lettering_below_a_third_of_the_least_width_is_left_and_said():
    stroke = 0.12
    letters = [bar(x, 0, x + stroke, 1.5) | bar(x, 0, x + 0.8, stroke) for x in range(5)]
    face, _, growth, _ = thickened(shapely.union_all([*letters, bar(0, 4, 20, 4.3)]))
    assert growth.letters_left == 5
    assert "Left alone: 5 letters or specks of lines" in growth.says
    assert len(growth.places) == 1  # the line above them
    assert face.ink.area == pytest.approx(5 * (1.5 + 0.8 - stroke) * stroke + 20 * 0.5, abs=0.01)


@pytest.mark.parametrize(("many", "told"), [(1, "at 1 place, by"), (2, "at 2 places, by")])
def test_places_and_letters_are_told_in_the_right_number(many, told):
    letters = [bar(x, 0, x + 0.12, 1.5) for x in range(many)]
    says = thickened(
        shapely.union_all([*letters, *(bar(0, 4 + 2 * i, 20, 4.3 + 2 * i) for i in range(many))])
    ).growth.says
    assert told in says
    assert f"Left alone: {many} {'letter or speck' if many == 1 else 'letters or specks'} of lines" in says


@pytest.mark.parametrize("turn", [0, 20, 45])
@pytest.mark.parametrize(("length", "letters"), [(7, 1), (8, 0)])
def test_a_thin_stroke_is_a_letter_or_a_hairline_however_it_is_turned(length, letters, turn):
    stroke = rotate(bar(-length / 2, -0.06, length / 2, 0.06), turn, origin=(0, 0))
    assert thickened(stroke | bar(-9, 8, 9, 8.3)).growth.letters_left == letters


def test_a_long_hairline_is_no_lettering():
    face = thickened(bar(-10, 0, 10, 0.12)).face
    assert size(face.ink) == pytest.approx((20, 0.5), abs=0.002)


@pytest.mark.parametrize(("half", "least"), [(5, 3.0), (20, 7.0)])  # beyond a mark of 10 mm; beyond a relief of 1.5 mm
def test_a_least_width_beyond_mark_or_relief_is_refused(half, least):
    with pytest.raises(JobError) as refused:
        thickened(bar(-half, 0, half, 0.3), land_mm=least)
    assert refused.value.refusals[0].pointer == "/job/limits/land"


def test_what_would_become_a_blot_is_cut_as_drawn_and_said():
    spokes = shapely.union_all([rotate(bar(-2.4, -0.22, 2.4, 0.22), a, origin=(0, 0)) for a in range(0, 180, 30)])
    face, _, growth, _ = thickened(spokes, land_mm=1.14)
    assert growth.outcome == "left_as_drawn"
    assert face.ink.equals(growth.drawn)
    assert "cut as drawn" in growth.says


def test_the_gaps_of_a_narrow_lattice_are_not_closed():
    lattice = shapely.union_all([bars(5, width=0.44, gap=0.56, length=6), bar(0, -1, 0.44, 5)])
    face = thickened(lattice, land_mm=1.2).face
    assert face.ink.area < 0.9 * face.ink.convex_hull.area
