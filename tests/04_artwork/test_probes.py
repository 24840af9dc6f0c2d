"""Features that programs part on: read as the standard has them, or told."""

import pytest

from features import svg
from probes import IN_LAYERS, PAGES, PAINT, SHAPES, SHEETS, SILENT, TOLD, TRANSFORMS, WITHIN_RULES
from stampwright.artwork import read_artwork
from stampwright.base import ArtworkError
from stampwright.job import ArtworkChoice

AREAS = SHEETS | IN_LAYERS | WITHIN_RULES | SHAPES | PAINT


def read(body, head='width="60mm" height="40mm" viewBox="0 0 60 40"'):
    return read_artwork(svg(body, head=head), ArtworkChoice(), scale_of=lambda _box: 1.0)


def codes(mark):
    return [notice.code for notice in (*mark.repaired, *mark.left_out)]


@pytest.mark.parametrize("name", AREAS)
def test_a_feature_has_its_area(name):
    body, area = AREAS[name]
    if area:
        assert read(body).ink.area == pytest.approx(area, abs=1e-3)
    else:
        with pytest.raises(ArtworkError, match="no-ink"):
            read(body)


@pytest.mark.parametrize("name", TRANSFORMS)
def test_a_transform_brings_a_shape_to_its_place(name):
    body, box = TRANSFORMS[name]
    page = 'width="200mm" height="200mm" viewBox="-10 -10 200 200"'
    in_view = f'<svg width="60" height="40" overflow="visible">{body}</svg>'
    found = read(in_view, head=page).ink.bounds
    assert found == pytest.approx([side + 10 for side in box], abs=1e-6)


@pytest.mark.parametrize("name", TOLD)
def test_what_is_read_in_two_ways_is_told(name):
    assert name.split(":")[0] in codes(read(TOLD[name] + '<path d="M40 20h9v9z"/>'))


@pytest.mark.parametrize("name", SILENT)
def test_what_is_read_in_one_way_is_not_spoken_of(name):
    assert not codes(read(SILENT[name]))


@pytest.mark.parametrize("name", PAGES)
def test_the_page_as_a_whole(name):
    head, box, told = PAGES[name]
    mark = read('<rect width="10" height="10"/>', head=head)
    assert mark.ink.bounds == pytest.approx(box, abs=1e-6)
    assert codes(mark) == ["programs-differ"] * told


def test_a_script_at_the_start_is_told():
    head = 'width="60mm" height="40mm" viewBox="0 0 60 40" onload="draw()"'
    assert codes(read('<rect width="10" height="10"/>', head=head)) == ["script-ignored"]


@pytest.mark.parametrize("style", ["border:2px solid #000", "padding:2px", "border-radius:50%", "box-shadow:0 0 9px"])
def test_boxes_around_the_page_are_told(style):
    head = f'width="60mm" height="40mm" viewBox="0 0 60 40" style="{style}"'
    assert codes(read('<rect width="10" height="10"/>', head=head)) == ["css-ignored"]


@pytest.mark.parametrize("style", ["border:0 none", "padding:0", "margin:0 auto", "border-radius:0", "box-shadow:none"])
def test_boxes_that_are_not_there_are_not_spoken_of(style):
    head = f'width="60mm" height="40mm" viewBox="0 0 60 40" style="{style}"'
    assert not codes(read('<rect width="10" height="10"/>', head=head))


def test_a_drawing_without_any_extent_has_no_ink():
    with pytest.raises(ArtworkError, match="no-ink"):
        read_artwork(
            svg('<path d="M20 20h0"/>', head=""),
            ArtworkChoice(),
            scale_of=lambda box: 50 / max(box[2] - box[0], box[3] - box[1]),
        )
