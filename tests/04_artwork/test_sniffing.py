"""What was sent is recognised by its content: real files, written by the libraries that know their formats."""

import gzip
import io
import zipfile

import pytest
from PIL import Image

from features import svg
from stampwright.artwork import read_artwork
from stampwright.base import ArtworkError
from stampwright.job import ArtworkChoice

PLAIN = svg('<rect width="9" height="9"/>')


def picture(kind):
    out = io.BytesIO()
    Image.new("RGB", (8, 8), "black").save(out, kind)
    return out.getvalue()


def archive():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("mark.svg", PLAIN)
    return out.getvalue()


SENT = {
    "a PNG picture": (picture("PNG"), "Trace"),
    "a JPEG photo": (picture("JPEG"), "Trace"),
    "a GIF picture": (picture("GIF"), "Trace"),
    "a BMP picture": (picture("BMP"), "Trace"),
    "a TIFF picture": (picture("TIFF"), "Trace"),
    "a WebP picture": (picture("WEBP"), "Trace"),
    "a photo or film": (b"\0\0\0\x18ftypheic" + bytes(20), "Trace"),  # ISO 14496-12, 4.3
    "PostScript": (b"%!PS-Adobe-3.0 EPSF-3.0\n", "SVG"),
    "a ZIP archive": (archive(), "Unpack"),
    "a DWG drawing": (b"AC1032" + bytes(20), "DXF"),
    "first element is <html>": (b"<!DOCTYPE html><html><svg/></html>", "Export"),
    "packed twice": (gzip.compress(gzip.compress(PLAIN)), "Unpack"),
    "no drawing of a kind known": (b"the mark is attached", "Export"),
}


@pytest.mark.parametrize("what", SENT)
def test_what_is_no_drawing_is_refused_by_what_it_is_with_what_to_do(what):
    data, advice = SENT[what]
    with pytest.raises(ArtworkError) as refused:
        read(data)
    (refusal,) = refused.value.refusals
    assert refusal.code == "unread-format"
    assert what in refusal.detail
    assert advice in refusal.detail


UTF16 = PLAIN.decode().encode("utf-16")
SAME = {
    "packed": gzip.compress(PLAIN),
    "with a byte order mark": b"\xef\xbb\xbf" + PLAIN,
    "in UTF-16": UTF16,
    "after a long comment": b"<!-- %PDF-1.4 " + b"x" * 900 + b" -->" + PLAIN,
    "with a DOCTYPE": b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://example.test/svg11.dtd">' + PLAIN,
    "with an entity declared": b'<!DOCTYPE svg [<!ENTITY hive "box">]>' + PLAIN,
    "with a prefix": PLAIN.replace(b"xmlns=", b"xmlns:s=")
    .replace(b"<svg", b"<s:svg")
    .replace(b"</svg", b"</s:svg")
    .replace(b"<rect", b"<s:rect"),
}


@pytest.mark.parametrize("how", SAME)
def test_an_svg_is_known_however_it_is_wrapped(how):
    assert read(SAME[how]).ink.equals(read(PLAIN).ink)


def read(data):
    return read_artwork(data, ArtworkChoice(), scale_of=lambda _box: 1.0)


def repaired(data, **choice):
    mark = read_artwork(data, ArtworkChoice(**choice), scale_of=lambda _box: 1.0)
    return {notice.code: notice.says for notice in mark.repaired}


@pytest.mark.parametrize(("declared", "says"), [("pdf", "said: PDF, read: SVG"), ("other", "said: no drawing read")])
def test_where_the_declared_kind_is_wrong_the_content_decides_and_that_is_told(declared, says):
    assert says in repaired(PLAIN, declared=declared)["declared-otherwise"]


@pytest.mark.parametrize("declared", [None, "svg"])
def test_a_declared_kind_that_holds_is_not_spoken_of(declared):
    assert repaired(PLAIN, declared=declared) == {}


def test_the_unit_of_a_dxf_is_not_used_in_silence_on_an_svg():
    assert set(repaired(PLAIN, unit="in")) == {"unit-unused"}
