"""Hostile and damaged DXF: read or refused in words, whatever comes; the limits are those of the table."""

from __future__ import annotations

import functools

import pytest

from dxf_drawings import dxf
from hostile_dxf import HOSTILE, damaged, many_corners, of_everything
from stampwright.artwork import faults, read_artwork
from stampwright.base import StampwrightError, TooComplex
from stampwright.job import ArtworkChoice

of_everything = functools.cache(of_everything)
READ = {"an insert of no size"}  # the library takes it for 1


def read(data):
    return read_artwork(data, ArtworkChoice(), scale_of=lambda box: 30 / max(box[2] - box[0], box[3] - box[1]))


def read_or_refused(data):
    try:
        mark = read(data)
    except StampwrightError as refusal:
        return [reason.code for reason in refusal.refusals]
    return faults(mark)


@pytest.mark.parametrize("name", sorted(READ))
def test_what_is_merely_odd_is_read(name):
    assert read_or_refused(dxf(HOSTILE[name])) == []


@pytest.mark.parametrize("name", [name for name in HOSTILE if name not in READ])
def test_a_hostile_dxf_is_refused_in_words(name):
    with pytest.raises(StampwrightError) as refused:
        read(dxf(HOSTILE[name]))
    for reason in refused.value.refusals:
        assert reason.code == "no-ink" or isinstance(refused.value, TooComplex)
        assert len(reason.detail) > 20


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
