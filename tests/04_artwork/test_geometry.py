"""Areas by hand: strokes, transforms, units, ink rules, notices; the source of each rule stands beside it."""

import contextlib
import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from features import svg
from stamped import MARKS
from stampwright.artwork import faults, read_artwork
from stampwright.base import ArtworkError, StampwrightError
from stampwright.job import ArtworkChoice

CHORD_MM = 0.002


def read(body, *, head='width="60mm" height="40mm" viewBox="0 0 60 40"', chord_mm=CHORD_MM, **choice):
    drawing = f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>'
    return read_artwork(drawing.encode(), ArtworkChoice(chord_mm=chord_mm, **choice), scale_of=lambda _box: 1.0)


def line(d, style):
    return f'<path d="{d}" fill="none" stroke="#000" style="{style}"/>'


# SVG 2, 13.5: butt ends at the end, square goes on by half the width, round adds half a disc each
@pytest.mark.parametrize(("cap", "added"), [("butt", 0.0), ("square", 16.0), ("round", math.pi * 4)])
def test_a_line_has_the_area_its_caps_give_it(cap, added):
    ink = read(line("M10 20H40", f"stroke-width:4;stroke-linecap:{cap}")).ink
    assert ink.area == pytest.approx(30 * 4 + added, abs=0.02)


# A right corner of width w: the outer square lacks (1 − π/4)(w/2)² when round and half of it when bevelled
@pytest.mark.parametrize(("join", "lack"), [("miter", 0.0), ("round", (1 - math.pi / 4) * 4), ("bevel", 2.0)])
def test_a_right_corner_has_the_area_its_join_gives_it(join, lack):
    ink = read(line("M10 10H30V30", f"stroke-width:4;stroke-linejoin:{join}")).ink
    assert ink.area == pytest.approx(2 * 20 * 4 - lack, abs=0.02)


# SVG 2, 13.5.4: past the limit a mitre becomes a bevel; at 90 degrees the ratio is √2
@pytest.mark.parametrize(("limit", "corner"), [(1.42, True), (1.41, False)])
def test_a_mitre_beyond_its_limit_is_a_bevel(limit, corner):
    ink = read(line("M10 10H30V30", f"stroke-width:4;stroke-miterlimit:{limit}")).ink
    assert shapely.contains_xy(ink, 31.9, 8.1) == corner


def test_dashes_begin_at_their_offset_and_an_odd_list_is_repeated():
    ink = read(line("M10 20H40", "stroke-width:2;stroke-dasharray:4;stroke-dashoffset:2")).ink
    starts = sorted(round(land.bounds[0], 6) for land in ink.geoms)
    assert starts == [10.0, 16.0, 24.0, 32.0]


def test_a_line_that_lies_in_a_gap_of_its_dashes_is_not_there():
    in_a_gap = line("M10 20H40", "stroke-width:2;stroke-dasharray:5 99;stroke-dashoffset:9")
    assert read(SQUARE + in_a_gap).ink.equals(read(SQUARE).ink)


def test_a_stroke_that_does_not_scale_keeps_its_width_on_the_page():  # SVG 2, 8.12
    body = '<g transform="scale(4 1)">' + line("M3 10V30", "stroke-width:4px;vector-effect:non-scaling-stroke") + "</g>"
    ink = read(body, head='width="60" height="40" viewBox="0 0 60 40"').ink
    assert shapely.bounds(ink)[2] - shapely.bounds(ink)[0] == pytest.approx(4 * 25.4 / 96, abs=1e-6)


def test_a_stroke_under_an_uneven_scale_is_uneven():
    ink = read('<g transform="scale(3 1)">' + line("M3 10V30", "stroke-width:2") + "</g>").ink
    assert shapely.bounds(ink) == pytest.approx([6, 10, 12, 30], abs=1e-6)


def test_a_css_transform_takes_units_and_an_origin():  # CSS Transforms 1, sections 6 and 9
    ink = read(
        '<rect x="20" y="10" width="20" height="10" style="transform-origin:30px 15px;transform:rotate(90deg)"/>'
    )
    assert shapely.bounds(ink.ink) == pytest.approx([25, 5, 35, 25], abs=1e-6)


@pytest.mark.parametrize(("unit", "mm"), [("mm", 1), ("cm", 10), ("in", 25.4), ("pt", 25.4 / 72), ("pc", 25.4 / 6)])
def test_lengths_have_the_units_of_css(unit, mm):  # CSS Values 4, 6.2
    ink = read(f'<rect width="1{unit}" height="1{unit}"/>', head='width="200mm" height="200mm"').ink
    assert shapely.bounds(ink) == pytest.approx([0, 0, mm, mm], abs=1e-6)


@pytest.mark.parametrize(("rule", "area"), [("dark", 84.0), ("painted", 100.0), ("light", 16.0)])
def test_later_paint_covers_earlier_by_the_ink_rule(rule, area):
    body = '<rect x="5" y="5" width="10" height="10"/><rect x="8" y="8" width="4" height="4" fill="#fff"/>'
    assert read(body, ink=rule).ink.area == pytest.approx(area, abs=1e-6)


@pytest.mark.parametrize(
    ("css", "dark"),
    [
        (".a{fill:#fff} rect{fill:#000}", False),  # CSS Cascade 4, 6.3: a class outweighs a type
        (".a{fill:#fff} rect{fill:#000!important}", True),  # 6.2: importance outweighs both
        (".a{fill:#fff} .a{fill:#000}", True),  # 6.4: the later of equals
        ("#r{fill:#000} rect.a.b{fill:#fff}", True),
    ],
)
def test_rules_of_a_style_sheet_have_their_weight(css, dark):
    body = f'<rect id="r" class="a b" x="5" y="5" width="10" height="10"/><style>{css}</style><path d="M30 30h1v1z"/>'
    assert (read(body).ink.area > 50) == dark


@pytest.mark.parametrize(
    ("body", "code", "lost"),
    [
        ('<path d="M0 0h9v9 L oops"/>', "path-syntax", False),
        (
            '<rect width="9" height="9"/><rect width="9" height="5" fill="#aaa" opacity=".6"/>',
            "translucent-as-solid",
            0,
        ),
        (
            '<rect width="9" height="9" fill="#777"/><path d="M1 1h5v5" fill="#fff" opacity=".4"/>',
            "translucent-skipped",
            1,
        ),
        ('<rect width="9" height="9"/><use href="#none"/>', "broken-reference", True),
        ('<rect width="9" height="9"/><use href="other.svg#a"/>', "external-reference", True),
        ('<g id="g"><rect width="9" height="9"/><use href="#g"/></g>', "use-cycle", True),
        ('<rect width="9" height="9" filter="url(#f)"/>', "filter-ignored", True),
        (
            '<filter id="f" filterUnits="userSpaceOnUse"/><rect x="20" width="9" height="9"/><g filter="url(#f)"/>',
            "filter-ignored",
            True,
        ),
        ('<rect x="50" width="20" height="9"/>', "outside-page", True),
        ('<rect width="9" height="9"/><script>1</script>', "script-ignored", True),
        ('<rect width="9" height="9"/><path d="M20 20h.01v.01z"/>', "slivers-removed", False),
    ],
)
def test_what_is_not_read_exactly_is_told(body, code, lost):
    mark = read(body)
    assert code in [notice.code for notice in (mark.left_out if lost else mark.repaired)]
    assert code not in [notice.code for notice in (mark.repaired if lost else mark.left_out)]


SQUARE = '<rect x="10" y="5" width="9" height="9"/>'
OTHER = '<path d="M30 5h9v9h-9z"/>'


@pytest.mark.parametrize(
    ("body", "code", "share"),
    [
        (
            '<g filter="url(#f)"><rect x="10" y="5" width="9" height="9"/><path d="M30 5h9v9z"/></g>',
            "filter-ignored",
            1.0,
        ),
        (
            '<g filter="url(#f)"><rect x="10" y="5" width="9" height="9"/></g><path d="M30 5h9v9h-9z"/>',
            "filter-ignored",
            0.5,
        ),
        (
            '<path d="M30 5h9v9h-9z"/><rect x="10" y="5" width="9" height="9" fill-opacity=".51"/>',
            "translucent-as-solid",
            0.5,
        ),
        ('<path d="M10 5h9v9h-9z L x"/>', "path-syntax", None),
        ('<path d="M10 5h9v9h-9z" style="fill:oops"/>', "bad-value", None),
    ],
)
def test_a_notice_tells_where_it_is_and_how_much_ink_hangs_on_it(body, code, share):
    mark = read(body)
    (notice,) = (notice for notice in (*mark.repaired, *mark.left_out) if notice.code == code)
    assert notice.element.startswith("/svg/")
    assert notice.bounds_mm[:2] == pytest.approx((10, 5))
    assert notice.ink_share == (share if share is None else pytest.approx(share))


TEXT = '<g transform="translate(5)"><text x="9" y="30" font-size="8">Apis</text></g>'


@pytest.mark.parametrize(
    ("body", "code", "box"),
    [
        ('<image x="20" y="4" width="9" height="8" href="a.png"/>', "raster-image", (20, 4, 29, 12)),
        (TEXT, "text-not-outlined", (14, 22, 14, 30)),
        ('<pattern id="p"/><rect x="20" y="4" width="9" height="8" fill="url(#p)"/>', "pattern-fill", (20, 4, 29, 12)),
    ],
)
def test_what_is_ignored_by_name_is_told_with_its_place(body, code, box):
    mark = read(SQUARE + body, ignore=frozenset({code}))
    (notice,) = (notice for notice in mark.left_out if notice.code == code)
    assert notice.bounds_mm == pytest.approx(box)


@pytest.mark.parametrize("far", ['transform="rotate(1e308)"', 'transform="scale(1e308)" x="1e308"', 'width="1e308in"'])
def test_what_is_not_drawn_may_lie_beyond_all_numbers_and_has_no_place_then(far):
    mark = read(f'{SQUARE}<foreignObject height="9" {far}/>', ignore=frozenset({"foreign-object"}))
    (notice,) = mark.left_out
    assert notice.bounds_mm is None


@pytest.mark.parametrize(
    ("body", "code", "box"),
    [
        ('<rect x="50" y="4" width="20" height="9"/>', "outside-page", (60, 4, 70, 13)),
        (
            '<rect width="9" height="9"/><path d="M20 20h.01v.01z M31 8h.01v.01z"/>',
            "slivers-removed",
            (20, 8, 31.01, 20.01),
        ),
    ],
)
def test_what_is_cut_off_or_dropped_is_told_with_its_place(body, code, box):
    mark = read(body)
    (notice,) = (notice for notice in (*mark.repaired, *mark.left_out) if notice.code == code)
    assert notice.bounds_mm == pytest.approx(box, abs=1e-3)


@pytest.mark.parametrize(("enlarged", "kept", "dropped"), [(1, 1, 3), (10, 4, 0)])
def test_specks_are_too_small_by_what_they_are_on_the_face_and_are_counted(enlarged, kept, dropped):
    specks = '<path d="M20 20h.02v.02h-.02z M31 8h.02v.02h-.02z M50 5h.02v.02h-.02z"/><rect width="1" height="1"/>'
    mark = read_artwork(svg(specks), ArtworkChoice(), scale_of=lambda _box: enlarged)
    assert len(mark.ink.geoms) == kept
    assert sum(notice.count for notice in mark.repaired if notice.code == "slivers-removed") == dropped


def test_a_mark_that_is_all_specks_on_the_face_is_refused():
    with pytest.raises(ArtworkError, match="specks"):
        read_artwork(svg('<rect width="1" height="1"/>'), ArtworkChoice(), scale_of=lambda _box: 0.02)


# CSS Masking 1, 6.2: luminance times alpha; viewers round 127.5 of 255 up
@pytest.mark.parametrize(
    ("paint", "shown"),
    [
        ('fill="#7f7f7f"', False),
        ('fill="#808080"', True),
        ('fill="#fff" fill-opacity=".49"', False),
        ('fill="#fff" fill-opacity=".51"', True),
        ('fill="#b5b5b5" fill-opacity=".7"', False),  # 0.71 x 0.7
        ('fill="#b8b8b8" fill-opacity=".7"', True),  # 0.722 x 0.7
    ],
)
def test_a_soft_mask_is_cut_at_one_half_of_its_luminance_and_told(paint, shown):
    mark = read(f'<mask id="m"><rect width="60" height="40" {paint}/></mask><g mask="url(#m)">{SQUARE}</g>{OTHER}')
    assert mark.ink.area == pytest.approx(81 * (1 + shown))
    assert [notice.code for notice in (*mark.repaired, *mark.left_out)] == ["mask-thresholded"]


@pytest.mark.parametrize("code", ["text-not-outlined", "raster-image"])
def test_what_refuses_can_be_ignored_by_name(code):
    body = '<rect width="9" height="9"/><text x="3" y="30">Apis</text><image width="9" height="9" href="a.png"/>'
    with pytest.raises(ArtworkError):
        read(body, ignore=frozenset({code}))
    both = read(body, ignore=frozenset({"text-not-outlined", "raster-image"}))
    assert code in [notice.code for notice in both.left_out]


@given(
    radius=st.integers(1, 18), chord_um=st.sampled_from([1, 2, 5, 20]), stroke=st.booleans(), turn=st.integers(0, 359)
)
def test_curves_keep_the_chord_error_they_promise(radius, chord_um, stroke, turn):
    pen = 'fill="none" stroke="#000" stroke-width=".5"' if stroke else ""
    body = f'<ellipse cx="30" cy="20" rx="{radius}" ry="{radius * 0.7}" transform="rotate({turn} 30 20)" {pen}/>'
    coarse, fine = (read(body, chord_mm=chord).ink for chord in (chord_um / 1000, chord_um / 20_000))
    allowed = (1.5 if stroke else 1.1) * chord_um / 1000
    assert shapely.distance(shapely.points(shapely.get_coordinates(fine)), coarse.boundary).max() <= allowed


@pytest.mark.parametrize("enlarged", [0.1, 1, 10])
def test_chords_keep_their_error_on_the_finished_face(enlarged):  # 0.002 mm, unless the job says otherwise
    drawing = svg('<circle cx="30" cy="20" r="15"/>')
    ink = read_artwork(drawing, ArtworkChoice(), scale_of=lambda _box: enlarged).ink
    ring = shapely.get_coordinates(ink) - [30, 20]
    middles = (ring[1:] + ring[:-1]) / 2
    off_mm = (15 - np.hypot(*middles.T)).max() * enlarged
    assert 0.5 * CHORD_MM <= off_mm <= CHORD_MM


@pytest.mark.parametrize("name", MARKS)
def test_a_mark_keeps_its_promise_and_comes_out_the_same_twice(name):
    first, second = (read_artwork(MARKS[name].svg, ArtworkChoice(), scale_of=lambda _b: 1.0) for _ in range(2))
    assert not faults(first)
    assert shapely.to_wkb(first.ink) == shapely.to_wkb(second.ink)


@pytest.mark.parametrize(("a", "d"), [(2.0, 2.0), (-1.0, 1.0), (1.0, -1.0), (0.5, 0.5)])
def test_reading_commutes_with_scale_and_mirror(a, d):
    body = '<path d="M5 5C5 25 25 25 25 5z M9 9a3 2 0 1 0 4 1z"/>' + line("M5 30H25L15 35", "stroke-width:1.5")
    plain = read(body, head='viewBox="-60 -80 120 160" width="120mm" height="160mm"', chord_mm=0.0005).ink
    moved = read(
        f'<g transform="scale({a} {d})">{body}</g>',
        head='viewBox="-60 -80 120 160" width="120mm" height="160mm"',
        chord_mm=0.0005,
    ).ink
    expected = shapely.transform(plain, lambda xy: (xy - [60, 80]) * [a, d] + [60, 80])
    assert shapely.symmetric_difference(moved, expected).area <= 0.0015 * expected.length


MOVES = {
    "shift": (1, 0, 0, 1, 7.25, -3.5),
    "scale": (1.5, 0, 0, 1.5, 0, 0),
    "mirror": (-1, 0, 0, 1, 0, 0),
    "turn": (0, 1, -1, 0, 0, 0),
}


@pytest.mark.parametrize("move", sorted(MOVES))
@pytest.mark.parametrize("name", MARKS)
def test_a_mark_moved_in_its_drawing_is_the_mark_moved(name, move):
    a, b, c, d, e, f = MOVES[move]
    drawing = MARKS[name].svg.decode()
    inner = drawing[drawing.index("<svg") :]
    head = 'viewBox="-300 -300 600 600" width="600mm" height="600mm"'
    matrix = f"matrix({a} {b} {c} {d} {e} {f})"
    plain, moved = (read(f'<g transform="{by}">{inner}</g>', head=head).ink for by in ("scale(1)", matrix))
    expected = shapely.transform(plain, lambda xy: (xy - 300) @ [[a, b], [c, d]] + [e + 300, f + 300])
    assert shapely.symmetric_difference(moved, expected).area <= 2 * CHORD_MM * expected.length


@given(st.text(alphabet="MLCZazAh0123456789.-e ,#svgpathrectd", max_size=80))
def test_any_path_data_is_read_up_to_its_error(text):
    assert read(f'<path d="{text}"/><rect x="5" y="5" width="9" height="9"/>').ink.area > 0


@given(st.text(alphabet='<>/="& ;#svgpathrectd!-', max_size=60))
def test_any_content_is_read_or_refused_and_never_breaks(text):
    with contextlib.suppress(StampwrightError):
        read('<rect width="9" height="9"/>' + text)
