"""Threads against the 60° form of ISO 68-1 and ASME B1.1, and drills against published charts."""

import dataclasses
import math

import pytest

from stampwright.base.quantities import MM_PER_INCH, drill_point_mm
from stampwright.catalogue import TAPS, THREADS, thread_named

# Published: internal minor diameter of class 2B at its least [in] (UNC thread chart), and from Machinery's Handbook,
# 31st ed., for the fine ones; ISO 724 for the metric ones [mm], from memory.
INTERNAL_MINOR_MM = {
    "1/4-20 UNC": 0.1959 * 25.4,
    "5/16-18 UNC": 0.2524 * 25.4,
    "3/8-16 UNC": 0.3073 * 25.4,
    "1/4-28 UNF": 0.2113 * 25.4,
    "5/16-24 UNF": 0.2674 * 25.4,
    "3/8-24 UNF": 0.3299 * 25.4,
    "M5x0.8": 4.134,
    "M6x1": 4.917,
    "M8x1.25": 6.647,
    "M10x1.5": 8.376,
}
# Number and letter drills in inches, as every drill chart has them.
DRILL_IN = {"#7": 0.2010, "#3": 0.2130, "F": 0.2570, "I": 0.2720, "5/16 in": 0.3125, "Q": 0.3320}
# Pitch diameters in inches by the classic tables of ASME B1.1.
PITCH_DIAMETER_IN = {
    "1/4-20 UNC": 0.2175,
    "1/4-28 UNF": 0.2268,
    "5/16-18 UNC": 0.2764,
    "5/16-24 UNF": 0.2854,
    "3/8-16 UNC": 0.3344,
    "3/8-24 UNF": 0.3479,
}

every_thread = pytest.mark.parametrize("thread", THREADS.values(), ids=lambda thread: thread.size)


@every_thread
def test_the_internal_minor_diameter_is_the_published_one(thread):
    assert thread.internal_minor_mm == pytest.approx(INTERNAL_MINOR_MM[thread.size], abs=0.002)


@pytest.mark.parametrize(("size", "inches"), PITCH_DIAMETER_IN.items())
def test_the_pitch_diameter_is_the_published_one(size, inches):
    assert thread_named(size).pitch_diameter_mm / MM_PER_INCH == pytest.approx(inches, abs=0.0001)


@every_thread
def test_the_diameters_follow_from_a_60_degree_triangle(thread):
    """ISO 68-1: H = P sqrt(3)/2; the internal minor lies 5/8 H, the pitch line 3/8 H inside the major, on each side."""
    triangle_mm = thread.pitch_mm * math.sqrt(3) / 2
    assert thread.internal_minor_mm == pytest.approx(thread.major_mm - 2 * 5 / 8 * triangle_mm, abs=1e-5)
    assert thread.pitch_diameter_mm == pytest.approx(thread.major_mm - 2 * 3 / 8 * triangle_mm, abs=1e-5)


@every_thread
def test_the_size_says_major_diameter_and_pitch(thread):
    if thread.size.startswith("M"):
        major, pitch = (float(part) for part in thread.size[1:].split("x"))
    else:
        inches, per_inch = thread.size.split()[0].split("-")
        over, under = inches.split("/")
        major, pitch = float(over) / float(under) * MM_PER_INCH, MM_PER_INCH / float(per_inch)
    assert (thread.major_mm, thread.pitch_mm) == pytest.approx((major, pitch), abs=1e-6)


@every_thread
def test_the_drill_has_the_diameter_its_name_says(thread):
    named_mm = DRILL_IN[thread.drill_name] * MM_PER_INCH if thread.drill_name in DRILL_IN else None
    assert thread.drill_mm == pytest.approx(named_mm or float(thread.drill_name.removesuffix(" mm")), abs=0.0005)


@every_thread
def test_the_drill_leaves_about_three_quarters_of_the_thread_and_clears_its_root(thread):
    assert 70 < thread.percent_of_thread < 80
    assert thread.internal_minor_mm < thread.drill_mm < thread.major_mm


def test_a_number_7_drill_leaves_three_quarters_of_a_quarter_inch_coarse_thread():
    """Trade arithmetic: minor 4.975 mm, 75.4 % by the 1.299 P of Machinery's Handbook, 31st ed., p. 2155."""
    thread = thread_named("1/4-20 UNC")
    assert thread.internal_minor_mm == pytest.approx(4.975, abs=0.002)
    assert thread.percent_of_thread == pytest.approx(75.4, abs=0.1)


def test_our_percentage_turns_the_inch_formula_round():
    """Tapping formulas: drill = D − 0.01299 × % / N, 0.2013 in for 75 %; our percentage turns it round."""
    thread = thread_named("1/4-20 UNC")
    wanted = dataclasses.replace(thread, drill_mm=0.2013 * MM_PER_INCH)
    assert wanted.percent_of_thread == pytest.approx(75, abs=0.1)
    drill_in = 0.25 - thread.percent_of_thread * 0.01299 / 20
    assert drill_in * MM_PER_INCH == pytest.approx(thread.drill_mm, abs=0.001)


def test_a_drill_of_6_8_leaves_74_percent_of_an_m8_thread():
    thread = thread_named("M8x1.25")
    assert thread.internal_minor_mm == pytest.approx(6.647, abs=0.002)
    assert thread.percent_of_thread == pytest.approx(73.9, abs=0.1)


def test_a_quarter_inch_thread_one_and_a_half_diameters_deep_needs_a_head_of_20_mm():
    """Trade arithmetic: 9.525 of thread, 2 + 1 pitches of lead and chip room, the 118° point, wall 3 and relief 2."""
    thread, tap = thread_named("1/4-20 UNC"), TAPS["bottoming"]
    shoulder_mm = 9.525 + (tap.incomplete_threads + 1) * thread.pitch_mm
    assert shoulder_mm == pytest.approx(13.335)
    assert drill_point_mm(thread.drill_mm) == pytest.approx(1.5337, abs=1e-4)
    assert shoulder_mm + drill_point_mm(thread.drill_mm) + 3 + 2 == pytest.approx(19.869, abs=1e-3)


# Published ranges of threads that do not cut full: Machinery's Handbook, 26th ed., DIN 2197, ANSI by memory.
LEAD_THREADS = {"bottoming": (1, 2), "form-e": (1.5, 2), "form-c": (2, 3), "plug": (3, 5), "taper": (7, 10)}


@pytest.mark.parametrize("tap", TAPS.values(), ids=lambda tap: tap.key)
def test_a_tap_counts_with_the_upper_end_of_its_published_lead(tap):
    assert tap.incomplete_threads == LEAD_THREADS[tap.key][1]
