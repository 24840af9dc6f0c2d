"""What a DXF says beside its outlines: units, layers, text, pictures, what has no outline, the binary form."""

from __future__ import annotations

import pytest

from dxf_drawings import INCH, SQUARE, codes, dxf, ink_of, read, square, told
from stampwright.base import ArtworkError, JobError
from stampwright.job import read_job
from stampwright.pipeline import review_mark


def test_inches_are_inches_and_the_job_overrides_them():
    data = dxf(square, units=INCH)
    assert read(data).ink.area == pytest.approx(254**2)
    assert read(data, unit="mm").ink.area == pytest.approx(100)


@pytest.mark.parametrize("how", [{"units": 0}, {"version": "R12"}, {"units": 99}])
def test_a_drawing_without_units_is_read_in_millimetres_and_told(how):
    data = dxf(lambda m: m.add_polyline2d(SQUARE, close=True), **how)
    assert codes(read(data)) == ["no-units"]
    assert codes(read(data, unit="in")) == []


def test_the_drawings_own_size_is_refused_when_its_unit_is_not_known():
    job = {"placement": {"fit": "actual_size"}}
    with pytest.raises(JobError, match="no-units at /job/artwork/unit"):
        review_mark(dxf(square, units=0), read_job(job))
    said = review_mark(dxf(square, units=0), read_job(job | {"artwork": {"unit": "mm"}}))
    assert said.face.ink.area == pytest.approx(100, rel=1e-4)


def hidden_by(model, how):
    layer = model.doc.layers.add("CUT")
    if how == "off":
        layer.off()
    elif how == "frozen":
        layer.freeze()
    elif how == "not plotted":
        layer.dxf.plot = 0
    square(
        model, 20, dxfattribs={"layer": "Defpoints" if how == "defpoints" else "CUT", "invisible": how == "invisible"}
    )


@pytest.mark.parametrize("how", ["off", "frozen", "not plotted", "defpoints", "invisible"])
def test_what_does_not_show_is_left_out(how):
    ink, found = told(lambda m: (square(m), hidden_by(m, how)))
    assert ink.area == pytest.approx(100)
    assert found == ["hidden-layer"]


def insert_on(model, how):
    """Beside a square, an insert on such a layer with two squares: one of its own layer, one of another."""
    square(model)
    layer = model.doc.layers.add("CUT")
    layer.off() if how == "off" else layer.freeze()
    block = model.doc.blocks.new("TWO")
    square(block, 20)
    square(block, 40, dxfattribs={"layer": "SEEN"})
    model.add_blockref("TWO", (0, 0), dxfattribs={"layer": "CUT"})


@pytest.mark.parametrize(("how", "squares"), [("off", 2), ("frozen", 1)])
def test_in_a_block_layer_0_is_the_layer_of_the_insert_and_a_frozen_insert_shows_nothing(how, squares):
    """Common practice of drawing programs, no source."""
    ink, found = told(lambda m: insert_on(m, how))
    assert ink.area == pytest.approx(100 * squares)
    assert found == ["hidden-layer"]


def pattern(model):
    hatch = model.add_hatch()
    hatch.set_pattern_fill("ANSI31")
    hatch.paths.add_polyline_path(SQUARE)


REFUSED = {
    "text-not-outlined": lambda m: m.add_text("Apis"),
    "raster-image": lambda m: m.add_image(m.doc.add_image_def("bee.png", (9, 9)), (0, 0), (9, 9)),
    "pattern-fill": pattern,
}


@pytest.mark.parametrize("code", REFUSED)
def test_what_would_be_lost_refuses_unless_it_is_named(code):
    data = dxf(lambda m: (square(m, 20), REFUSED[code](m)))
    with pytest.raises(ArtworkError) as refused:
        read(data)
    assert [refusal.code for refusal in refused.value.refusals] == [code]
    mark = read(data, ignore=frozenset({code}))
    assert [notice.code for notice in mark.left_out] == [code]


LEFT_OUT = {
    "construction-left-out": lambda m: m.add_linear_dim(base=(0, -3), p1=(0, 0), p2=(10, 0)).render(),
    "entity-unread": lambda m: m.add_3dface([(0, 0), (1, 0), (1, 1), (0, 1)]),
    "paper-space": lambda m: m.doc.paperspace().add_line((0, 0), (1, 1)),
    "broken-reference": lambda m: m.add_blockref("NOBODY", (0, 0)),
    "bad-entity": lambda m: m.add_spline(degree=3).dxf.discard("degree"),
}


@pytest.mark.parametrize("code", LEFT_OUT)
def test_what_has_no_outline_is_left_out_and_told(code):
    ink, found = told(lambda m: (square(m), LEFT_OUT[code](m)))
    assert ink.area == pytest.approx(100)
    assert found == [code]


@pytest.mark.parametrize("side", ["width", "height"])
def test_a_single_wide_line_can_be_sized_by_either_side(side):
    data = dxf(lambda m: m.add_lwpolyline([(0, 0), (10, 0)], dxfattribs={"const_width": 5}))
    face = review_mark(data, read_job({"placement": {"fit": {side: 10}}})).face
    assert face.scale == pytest.approx(1 if side == "width" else 2, rel=1e-3)


@pytest.mark.parametrize("side", ["width", "height"])
def test_a_flat_drawing_has_no_ink(side):
    with pytest.raises(ArtworkError, match="no-ink"):
        review_mark(dxf(lambda m: m.add_line((0, 0), (10, 0))), read_job({"placement": {"fit": {side: 10}}}))


def test_colour_does_not_matter():
    data = dxf(lambda m: (square(m, dxfattribs={"color": 7}), square(m, 20, dxfattribs={"color": 2})))
    assert {read(data, ink=rule).ink.area for rule in ("dark", "painted", "light")} == {read(data).ink.area}


def test_binary_and_text_are_the_same_drawing():
    assert ink_of(square, binary=True).equals(ink_of(square))
