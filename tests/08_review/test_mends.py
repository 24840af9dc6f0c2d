"""What would mend a finding mends it: the change is made, the mark reviewed again, and the place looked at."""

from __future__ import annotations

import math

import pytest

from stamped import MARKS, NAMES
from stampwright.job import read_job
from stampwright.pipeline import review_mark

NEAR_MM = 0.3  # a finding's place may wander along its stretch when its limit changes


def mark_of(name, *, job):
    return review_mark(MARKS[name].svg, read_job(job))


def test_a_wider_mark_a_finer_cutter_and_growth_are_offered_at_all():
    """Without offers the tests below would hold of anything."""
    offers = [f.would_mend for name in NAMES for f in mark_of(name, job=MARKS[name].job).review.findings if f.at_mm]
    assert sum(offer.mark_width_mm is not None for offer in offers) > 100
    assert sum(offer.cutter is not None for offer in offers) > 5
    assert sum(bool(offer.thicken) for offer in offers) > 5


def firm(name):
    """The job of a mark on a head that leaves room, at the relief that its own head asks for."""
    job, found = MARKS[name].job, mark_of(name, job=MARKS[name].job)
    scale = 25.4 if job.get("units") == "in" else 1.0
    relief = {**job.get("relief", {}), "height": found.face.relief_mm / scale}
    return {**job, "relief": relief}, found, scale


def sized(job, width_mm, *, scale):
    """The same with a mark so wide, a hair more, on a head that surely holds it."""
    side = min(8 * width_mm, 500.0) / scale
    head = {"width": side, "height": side, "thickness": job.get("head", {}).get("thickness", 19 / scale)}
    placement = {**job.get("placement", {}), "fit": {"width": 1.001 * width_mm / scale}}
    return {**job, "head": head, "placement": placement}


def is_there(finding, found, *, scale=1.0):
    at = [scale * value for value in finding.at_mm]
    same = [other for other in found.review.findings if other.code == finding.code and other.at_mm]
    return any(math.dist(at, other.at_mm) < NEAR_MM for other in same)


@pytest.mark.parametrize("name", NAMES)
def test_a_mark_so_wide_has_the_finding_no_more(name):
    job, found, scale = firm(name)
    last = {f.code: f for f in found.review.findings if f.would_mend.mark_width_mm and f.at_mm}
    x0, _, x1, _ = found.face.ink.bounds
    for finding in last.values():
        larger = mark_of(name, job=sized(job, finding.would_mend.mark_width_mm, scale=scale))
        grown = finding.would_mend.mark_width_mm / (x1 - x0)
        assert not is_there(finding, larger, scale=grown), finding


@pytest.mark.parametrize("name", NAMES)
def test_with_the_cutter_in_the_rack_the_finding_is_gone(name):
    job, found, _ = firm(name)
    rack = job.get("cutters", ["flat-3.175", "flat-1.588", "flat-0.794"])
    for finding in {f.code: f for f in found.review.findings if f.would_mend.cutter and f.at_mm}.values():
        finer = mark_of(name, job={**job, "cutters": [*rack, finding.would_mend.cutter]})
        assert not is_there(finding, finer), finding


def only(found, code):
    (finding,) = {f.code: f for f in found.review.findings if f.code == code}.values()
    return finding


@pytest.mark.parametrize(
    ("code", "job", "mended"),
    [
        ("shallow-relief", {"relief": {"height": 0.6}}, lambda would: {"relief": {"height": would.relief_mm}}),
        (
            "deep-gap",
            {"relief": {"height": 10}, "cutters": ["flat-3.175"], "thread": None},
            lambda would: {"relief": {"height": would.relief_mm}},
        ),
        ("metal-too-cool", {"metal": "aluminium-6061"}, lambda would: {"metal": would.metal}),
        (
            "hole-too-deep",
            {"head": {"width": 40, "height": 40, "thickness": 14}},
            lambda would: {"head": {"width": 40, "height": 40, "thickness": would.thickness_mm + 0.001}},
        ),
        ("not-reversed", {"placement": {"reverse": False}}, lambda would: {"placement": {"reverse": would.reverse}}),
    ],
)
def test_what_concerns_the_whole_iron_is_mended_by_its_change(code, job, mended):
    would = only(mark_of("skep", job=job), code).would_mend
    assert code not in {f.code for f in mark_of("skep", job={**job, **mended(would)}).review.findings}


def test_growing_is_offered_until_it_has_been_tried():
    thin = {"head": {"width": 20, "height": 16}}
    tried = mark_of("frost", job={**thin, "relief": {"thicken": True}})
    assert only(mark_of("frost", job=thin), "thin-land").would_mend.thicken
    assert not any(finding.would_mend.thicken for finding in tried.review.findings)
