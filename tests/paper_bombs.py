"""PDFs that ask for far more than they send: each must be refused, or read, within two seconds and 300 MB."""

from __future__ import annotations

import itertools
import struct
import zlib

from paper import pdf

_BOMB = zlib.compress(bytes(200_000_000), 9)
_FLATE = "/Filter/FlateDecode"
_FONT = "/Font<</F<</Subtype/TrueType/FontDescriptor<</FontFile2 5 0 R>>>>>>"
_RECT = "9 9 90 70 re f "


def _content(data, head=_FLATE):
    return pdf("", contents="5 0 R", more=[(head, data)])


def _forms(leaf):
    """Ten forms, each drawing the next ten times: 10⁹ leaves."""
    own = "/Subtype/Form/BBox[0 0 170 113]/Resources<</XObject<</a {} 0 R>>>>"
    chain = [(own.format(number + 1), b"/a Do " * 10) for number in range(5, 14)]
    return pdf("/a Do", resources="/XObject<</a 5 0 R>>", more=[*chain, ("/Subtype/Form", leaf)])


def _lzw_bomb():
    """Codes that each stand for one byte more than the last (TIFF 6.0, section 13, as ISO 32000-1, 7.4.4 has it)."""
    bits = "".join(
        format(256, "09b") + format(0, "09b")
        + "".join(format(code, f"0{9 + (code > 510) + (code > 1022) + (code > 2046)}b") for code in range(258, 4094))
        for _ in range(450)
    )  # fmt: skip
    bits += "0" * (-len(bits) % 8)
    return int(bits, 2).to_bytes(len(bits) // 8, "big")


def _packed_objects(packed):
    """Every object in one stream, and a cross-reference stream that says so (ISO 32000-1, 7.5.7 and 7.5.8)."""
    out, head = bytearray(b"%PDF-1.7\n"), b"<</Type/ObjStm/N 1/First 4/Filter/FlateDecode/Length %d>>stream\n"
    at = len(out)
    out += b"5 0 obj\n" + head % len(packed) + packed + b"\nendstream\nendobj\n"
    rows = [(0, 0, 65535), *((2, 5, place) for place in range(4)), (1, at, 0), (1, len(out), 0)]
    return bytes(out + _references(b"".join(struct.pack(">BIH", *row) for row in rows), len(rows), len(out)))


def _references(table, count, start):
    data = zlib.compress(table)
    head = f"<</Type/XRef/Size {count}/W[1 4 2]/Root 1 0 R/Filter/FlateDecode/Length {len(data)}>>stream\n".encode()
    return b"6 0 obj\n" + head + data + b"\nendstream\nendobj\nstartxref\n%d\n%%%%EOF" % start


def _alone(table, count):
    return b"%PDF-1.7\n" + _references(table, count, 9)


def _two_thousand(text):
    return " ".join(text.format(i) for i in range(2_000))


BOMBS = {
    "content of 200 MB": lambda: _content(_BOMB),
    "flate within flate": lambda: _content(zlib.compress(_BOMB), "/Filter[/FlateDecode/FlateDecode]"),
    "flate within hexadecimal": lambda: _content(_BOMB.hex().encode(), "/Filter[/ASCIIHexDecode/FlateDecode]"),
    "predictor of one long row": lambda: _content(_BOMB, _FLATE + "/DecodeParms<</Predictor 12/Columns 100000000>>"),
    "run lengths": lambda: _content(b"\x81 " * 1_900_000, "/Filter/RunLengthDecode"),
    "LZW": lambda: _content(_lzw_bomb(), "/Filter/LZWDecode"),
    "font of 200 MB": lambda: pdf("BT /F 20 Tf (Bee) Tj ET", resources=_FONT, more=[(_FLATE, _BOMB)]),
    "samples of 200 MB": lambda: pdf(
        "/s cs .5 scn " + _RECT,
        resources="/ColorSpace<</s[/Separation/R/DeviceGray 5 0 R]>>",
        more=[("/FunctionType 0/Domain[0 1]/Range[0 1]/Size[200000000]/BitsPerSample 8" + _FLATE, _BOMB)],
    ),
    "object stream of 200 MB": lambda: _packed_objects(_BOMB),
    "cross references of 200 MB": lambda: _alone(bytes(7 * 30_000_000), 30_000_000),
    "cross references of 15 MB": lambda: _alone(b"\1\0\0\0\x09\0\0" * 2_200_000, 2_200_000),
    "a milliard forms": lambda: _forms(b"0 0 1 1 re f"),
    "a milliard empty forms": lambda: _forms(b""),
    "a large form again and again": lambda: pdf(
        "/a Do " * 100_000,
        resources="/XObject<</a 5 0 R>>",
        more=[("/Subtype/Form" + _FLATE, zlib.compress(b" " * 7_000_000))],
    ),
    "states in each other": lambda: pdf("q " * 100_000),
    "arrays in each other": lambda: pdf("[" * 100_000 + _RECT),
    "four million numbers": lambda: _content(zlib.compress(b"1 " * 3_900_000)),
    "four million operators": lambda: _content(zlib.compress(b"n " * 3_900_000)),
    "parentheses never closed": lambda: pdf(b"(" * 3_800_000),
    "parentheses in each other": lambda: pdf(b"(" * 1_900_000 + b")" * 1_900_000 + b"Tj 0 0 9 9 re f"),
    "comments": lambda: pdf(b"%\n" * 1_900_000 + b"0 0 9 9 re f"),
    "400 digits in a matrix": lambda: pdf("9" * 400 + " 0 0 1 0 0 cm " + _RECT),
    "400 digits in a page": lambda: pdf(_RECT, page="/MediaBox[0 0 " + "9" * 400 + " 50]"),
    "400 digits in a width": lambda: pdf("/a gs 9 9 m 50 50 l S", resources=f"/ExtGState<</a<</LW {'9' * 400}>>>>"),
    "clips in each other": lambda: pdf("q 1 0 0 1 1 1 cm 0 0 m 90 3 l 5 80 l W n " * 300 + _RECT),
    "short dashes": lambda: pdf("[.0001] 0 d 9 w 0 0 m 160 100 l S"),
    "a scribble": lambda: pdf(
        "".join(f"{i * 7919 % 1700 / 10} {i * 104729 % 1130 / 10} {'l' if i else 'm'} " for i in range(3000)) + "f*"
    ),
    "a large font chosen again and again": lambda: pdf(
        "BT " + "/F 9 Tf (B) Tj " * 40_000, resources=_FONT, more=[(_FLATE, zlib.compress(bytes(15_000_000)))]
    ),
    "many large fonts": lambda: pdf(
        "BT " + _two_thousand("/F{} 9 Tf (B) Tj"),
        resources=f"/Font<<{_two_thousand('/F{0}<</Subtype/TrueType/FontDescriptor<</FontFile2 5 0 R>>>>')}>>",
        more=[(_FLATE, zlib.compress(bytes(15_000_000)))],
    ),
    "200,000 pages": lambda: pdf(_RECT).replace(
        b"/Kids[3 0 R]/Count 1", b"/Kids[" + b"3 0 R " * 200_000 + b"]/Count 200000"
    ),
    "pages that hold themselves": lambda: pdf(_RECT).replace(b"/Kids[3 0 R]", b"/Kids[2 0 R]"),
    "dictionaries in each other": lambda: pdf(_RECT, resources="/A" + "<</A" * 100_000 + " 1" + ">>" * 100_000),
    "190,000 objects": lambda: b"%PDF-1.7\n" + b"".join(b"%d 0 obj<<>>endobj\n" % i for i in range(170_000)),
    "dictionaries never closed": lambda: b"%PDF-1.7\n1 0 obj" + b"<<" * 1_900_000,
    "an array never closed": lambda: b"%PDF-1.7\n1 0 obj[" + b"1 " * 1_900_000,
    "noise": lambda: b"%PDF-1.7\n" + bytes(i * i * 31 % 251 for i in itertools.islice(itertools.count(), 2_000_000)),
}
"""Name to a function that makes the file: some take a while and much memory to make."""
