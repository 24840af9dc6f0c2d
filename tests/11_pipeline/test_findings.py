"""The register's marks show, among them, every way in which a branding iron disappoints."""

import re

import pytest

from stamped import NAMES, stamp_of

CODES = [
    "thin-land",
    "slender-land",
    "sharp-tip",
    "speck",
    "narrow-gap",
    "filled-counter",
    "rounded-corner",
    "deep-gap",
    "char-bridge",
    "large-solid",
    "shallow-relief",
    "outside-margin",
    "hole-too-deep",
    "not-reversed",
    "metal-too-cool",
]


def codes_of(name):
    review = stamp_of(name).review
    return {finding.code for finding in review.findings} | set(review.findings_left_out)


@pytest.mark.parametrize("code", CODES)
def test_each_finding_occurs_on_some_mark(code):
    assert any(code in codes_of(name) for name in NAMES)


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("dandelion", "thin-land"),
        ("dandelion", "speck"),
        ("windrose", "sharp-tip"),
        ("basket", "filled-counter"),
        ("comb", "shallow-relief"),
        ("nightbee", "large-solid"),
        ("smoker", "outside-margin"),
        ("queen", "hole-too-deep"),
        ("frost", "metal-too-cool"),
        ("withy", "not-reversed"),
    ],
)
def test_a_mark_drawn_to_disappoint_in_one_way_does(name, code):
    assert code in codes_of(name)


@pytest.mark.parametrize("name", NAMES)
def test_each_finding_has_its_words_and_lies_on_the_head(name):
    x0, y0, x1, y1 = stamp_of(name).face.head.bounds
    for finding in stamp_of(name).review.findings:
        assert finding.says.endswith(".")
        assert finding.remedy.endswith(".")
        if finding.at_mm:
            assert x0 <= finding.at_mm[0] <= x1
            assert y0 <= finding.at_mm[1] <= y1


def test_one_mark_cannot_be_made_and_its_plan_says_where_it_fails():
    stamp = stamp_of("frost")
    assert stamp.review.verdict == "unmakeable"
    assert {f.code for f in stamp.review.findings if f.severity == "stop"} == {"thin-land", "metal-too-cool"}
    assert stamp.plan.operations[stamp.plan.fails_at_step - 1].kind == "wall"  # a strand of 0.18 mm will not stand it
    assert "A land is only" in stamp.plan.fails_because


@pytest.mark.parametrize("name", NAMES)
def test_char_creeps_as_far_in_the_findings_as_on_the_sheet_of_heat_and_use(name):
    """Sideways 0.28 to 1 of the depth; review and heat reckon the depth each on its own."""
    stamp = stamp_of(name)
    bridges = [finding for finding in stamp.review.findings if finding.code == "char-bridge"]
    for finding in bridges:
        told = [float(mm) for mm in re.search(r"creeps ([\d.]+) mm to ([\d.]+) mm", finding.says).groups()]
        assert told == pytest.approx(stamp.use.char_spread_mm, abs=0.006)
