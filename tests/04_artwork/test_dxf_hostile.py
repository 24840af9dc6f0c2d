"""Odd and damaged DXF: read, or refused in words, whatever comes."""

from __future__ import annotations

import functools
import math

import pytest

from dxf_drawings import dxf, square
from hostile_dxf import damaged, many_corners, of_everything
from stampwright.artwork import faults, read_artwork
from stampwright.base import StampwrightError
from stampwright.job import ArtworkChoice

of_everything = functools.cache(of_everything)


def read(data):
    return read_artwork(data, ArtworkChoice(), scale_of=lambda box: 30 / max(box[2] - box[0], box[3] - box[1]))


def read_or_refused(data):
    try:
        mark = read(data)
    except StampwrightError as refusal:
        return [reason.code for reason in refusal.refusals]
    return faults(mark)


def test_an_insert_of_no_size_is_as_large_as_its_block():
    """DXF reference: a scale factor is 1 when none is given, and the library takes 0 for none."""

    def draw(model):
        square(model.doc.blocks.new("A"))
        model.add_blockref("A", (0, 0), dxfattribs={"xscale": 0, "yscale": 0})

    assert read(dxf(draw)).ink.area == pytest.approx(100)


@pytest.mark.parametrize("widths", [(0, math.inf), (math.inf, 0), (math.nan, 1)])
def test_a_line_as_wide_as_no_number_is_refused_by_its_place(widths):
    assert read_or_refused(dxf(lambda model: model.add_lwpolyline([(0, 0, *widths), (9, 0), (9, 9)]))) == [
        "coordinate-range"
    ]


def test_more_corners_than_are_let_in_are_counted_while_they_are_loaded():
    assert read_or_refused(many_corners(200_000)) == ["too-many-points"]


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_a_damaged_dxf_is_read_or_refused(version):
    data = of_everything(version=version)
    found = [read_or_refused(damaged(seed, data=data)) for seed in range(150)]
    assert min(found.count([]), found.count(["dxf-broken"])) > 15  # some of each, else the damage tests nothing


def test_a_damaged_binary_dxf_is_read_or_refused():
    data = of_everything(binary=True)
    for at in range(22, len(data), len(data) // 15):
        assert "" not in read_or_refused(data[:at] + b"\xff" + data[at + 1 :])
        assert "" not in read_or_refused(data[:at])


def test_an_empty_dxf_has_no_ink():
    assert read_or_refused(dxf(lambda _model: None)) == ["no-ink"]
