"""A face prints the mark as drawn when left and right are changed: an asymmetric letter proves it."""

import io
import subprocess
import sys
import textwrap

import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image

from relief_shapes import LETTER_F, laid, letter_f


def _print(face):
    return shapely.transform(face.ink, lambda xy: xy * (-1, 1))


def test_the_face_of_an_f_has_its_stem_at_the_right_and_its_long_arm_on_top():
    face = laid(letter_f(), fit="actual_size")
    stem, long_arm, short_arm, nothing = [(4.5, -8), (-5, 8.5), (-2, 1.5), (-5, 1.5)]
    inside = shapely.contains_xy(face.ink, np.array([stem, long_arm, short_arm, nothing]))
    assert list(inside) == [True, True, True, False]


def test_what_is_printed_is_what_a_renderer_shows():
    """resvg draws the letter; each pixel's middle lies in the print exactly when the renderer inked it."""
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-4 -2 20 24" width="400"><path d="{LETTER_F}"/></svg>'
    png = resvg_py.svg_to_bytes(svg_string=svg)
    inked = np.array(Image.open(io.BytesIO(bytes(png))).convert("RGBA"))[..., 3] > 127
    row, column = np.mgrid[: inked.shape[0], : inked.shape[1]]
    x, y = (column + 0.5) / 20 - 4 - 6, (row + 0.5) / 20 - 2 - 10  # the letter's box is 12 x 20, centred on the head
    printed = shapely.contains_xy(_print(laid(letter_f(), fit="actual_size")), x, -y)
    assert np.array_equal(printed, inked)


def test_a_face_cut_as_it_reads_is_the_print_itself():
    face, plain = laid(letter_f()), laid(letter_f(), reverse=False)
    assert shapely.equals(_print(face), plain.ink)
    assert face.reversed
    assert not plain.reversed


def test_a_quarter_turn_is_counter_clockwise_on_the_print():
    """The F falls on its back: top of the stem to the left, its arms up."""
    printed = _print(laid(letter_f(), fit="actual_size", turn_deg=90))
    stem_foot, long_arm = (9, -4.5), (-8.5, 5)
    assert shapely.contains_xy(printed, *stem_foot)
    assert shapely.contains_xy(printed, *long_arm)


@pytest.mark.parametrize("turn_deg", [0, 30, 90, -45.5, 180, 400])
def test_the_turned_print_is_the_drawn_letter_turned_about_its_centre(turn_deg):
    printed = _print(laid(letter_f(), fit="actual_size", turn_deg=turn_deg))
    upright = _print(laid(letter_f(), fit="actual_size"))
    turned = shapely.affinity.rotate(upright, turn_deg, origin=(0, 0))
    x0, y0, x1, y1 = turned.bounds
    centred = shapely.affinity.translate(turned, -(x0 + x1) / 2, -(y0 + y1) / 2)
    assert shapely.symmetric_difference(printed, centred).area < 0.01


def test_reversing_twice_does_not_pass_the_type_checker(tmp_path):
    script = tmp_path / "twice.py"
    script.write_text(
        textwrap.dedent("""
        from stampwright.layout.mirror import AsSeen, reverse
        def twice(mark: AsSeen) -> object:
            return reverse(reverse(mark))
        """)
    )
    cache = str(tmp_path / "cache")
    command = [sys.executable, "-m", "mypy", "--cache-dir", cache, "--follow-imports=silent", str(script)]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)  # noqa: S603  our own words
    assert 'incompatible type "AsCut"; expected "AsSeen"' in ran.stdout
