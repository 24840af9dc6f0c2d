"""One font in every packing that is read, its broken and its malicious relatives: made here with fontTools."""

from __future__ import annotations

import io
import itertools
import random
import struct
import zlib
from functools import cache

import brotli
from fontTools import subset
from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.ttLib import TTCollection, TTFont, newTable
from fontTools.ttLib.tables import _g_l_y_f
from fontTools.ttLib.tables.TupleVariation import TupleVariation

from lettered import dejavu, noto

WORDS = "Apis mellifera Hive 7 office AV"


def _saved(font):
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


@cache
def small(which=dejavu):
    """A font cut down to the letters of `WORDS`."""
    font = TTFont(io.BytesIO(which()))
    options = subset.Options(layout_features=["*"], name_IDs=["*"], notdef_outline=True, drop_tables=["FFTM"])
    tool = subset.Subsetter(options)
    tool.populate(text=WORDS)
    tool.subset(font)
    return _saved(font)


@cache
def light():
    """A light font as its maker names it: a family of its own for old programs, one of many for new ones."""
    font = TTFont(io.BytesIO(small()))
    font["OS/2"].usWeightClass = 300
    for number, name in ((1, "Apiary Light"), (16, "Apiary"), (4, "Apiary Light"), (6, "Apiary-Light")):
        font["name"].setName(name, number, 3, 1, 0x409)
    font["name"].names = [name for name in font["name"].names if name.platformID == 3]
    return _saved(font)


@cache
def accented():
    """Latin-1 of DejaVu Sans: many of its letters are made of others, and carry instructions."""
    font = TTFont(io.BytesIO(dejavu()))
    tool = subset.Subsetter(subset.Options(hinting=True, drop_tables=["FFTM"]))
    tool.populate(unicodes=range(0x20, 0x180))
    tool.subset(font)
    return _saved(font)


@cache
def cff():
    """The same with PostScript outlines."""
    font = TTFont(io.BytesIO(small()))
    glyphs, strings = font.getGlyphSet(), {}
    for name in font.getGlyphOrder():
        pen = T2CharStringPen(font["hmtx"][name][0], glyphs)
        glyphs[name].draw(pen)
        strings[name] = pen.getCharString()
    builder = FontBuilder(font=font)
    builder.isTTF = False
    for table in ("glyf", "loca", "cvt ", "fpgm", "prep", "gasp"):
        if table in font:
            del font[table]
    builder.setupCFF("DejaVuSans", {}, strings, {})
    builder.setupMaxp()
    font.sfntVersion = "OTTO"
    return _saved(font)


def packed(kind, data=None):
    font = TTFont(io.BytesIO(data or small()))
    font.flavor = kind
    return _saved(font)


@cache
def collection():
    """A collection of a variable font and DejaVu Sans, in this order."""
    whole = TTCollection()
    whole.fonts = [TTFont(io.BytesIO(small(noto))), TTFont(io.BytesIO(small()))]
    return _saved(whole)


@cache
def optical():
    """A font whose glyphs all stand ten units higher for each px of optical size above 10, up to 110."""
    font = TTFont(io.BytesIO(small()))
    builder = FontBuilder(font=font)
    builder.setupFvar([("opsz", 10, 10, 110, "Optical size")], [])
    counts = {name: len(font["glyf"][name].getCoordinates(font["glyf"])[0]) for name in font.getGlyphOrder()}
    risen = {
        name: [TupleVariation({"opsz": (0, 1, 1)}, [(0, 1000)] * count + [(0, 0)] * 4)] if count else []
        for name, count in counts.items()
    }
    builder.setupGvar(risen)
    return _saved(font)


KINDS = {
    "ttf": small,
    "otf": cff,
    "ttc": collection,
    "woff": cache(lambda: packed("woff")),
    "woff2": cache(lambda: packed("woff2")),
    "variable": cache(lambda: small(noto)),
}


def broken(data, seed):
    """A font with some bytes changed, cut off, doubled or wiped."""
    dice = random.Random(seed)  # noqa: S311  the same damage at every run
    spoilt = bytearray(data)
    for _ in range(dice.choice([1, 1, 2, 5, 20, 200])):
        at = dice.randrange(min(len(spoilt), dice.choice([64, 512, len(spoilt)])))
        how = dice.random()
        if how < 0.7:
            spoilt[at] = dice.choice([0, 1, 127, 128, 255, dice.randrange(256)])
        elif how < 0.8:
            del spoilt[at : at + dice.choice([1, 4, 100])]
        elif how < 0.9:
            spoilt[at:at] = spoilt[at : at + dice.choice([1, 4, 100])]
        else:
            spoilt[at : at + 4] = struct.pack(">I", dice.choice([0, 0xFFFFFFFF, 0x7FFFFFFF, len(spoilt)]))
        if len(spoilt) < 4:
            return bytes(spoilt)
    return bytes(spoilt)


@cache
def _deflated():
    return zlib.compress(bytes(300_000_000), 1)


@cache
def _pressed():
    return brotli.compress(bytes(300_000_000), quality=1)


def woff_bomb(honest):
    """A WOFF whose one table inflates to 300 MB; `honest` says so in its directory."""
    body = _deflated()
    size = 300_000_000 if honest else 1000
    head = struct.pack(">4s4sIHHIHHIIIII", b"wOFF", b"\0\1\0\0", 64 + len(body), 1, 0, size, 1, 0, 0, 0, 0, 0, 0)
    return head + struct.pack(">4sIIII", b"glyf", 64, len(body), size, 0) + body


def woff2_bomb(honest):
    """A WOFF2 whose stream inflates to 300 MB; `honest` says so in its directory."""
    body = _pressed()
    size = 300_000_000 if honest else 1000
    directory = bytes([1]) + _base128(size)  # head, not transformed
    total = 48 + len(directory) + len(body)
    head = struct.pack(">4s4sIHHIIHHIIIII", b"wOF2", b"\0\1\0\0", total, 1, 0, size, len(body), 1, 0, 0, 0, 0, 0, 0)
    return head + directory + body


def _base128(value):
    groups = [value & 127]
    while value := value >> 7:
        groups.append(value & 127 | 128)
    return bytes(reversed(groups))


def composite_bomb(depth=25, each=4):
    """A font in which a glyph is made of four others, each of four others, 25 deep."""
    font = TTFont(io.BytesIO(small()), recalcBBoxes=False)
    names = font.getGlyphOrder()
    first = font.getBestCmap()[ord("A")]
    chain = [first, *[name for name in names[5:] if name != first]][: depth + 1]
    for name, below in itertools.pairwise(chain):
        glyph = _g_l_y_f.Glyph()
        glyph.numberOfContours = -1
        glyph.components = []
        glyph.xMin = glyph.yMin = glyph.xMax = glyph.yMax = 0
        for place in range(each):
            part = _g_l_y_f.GlyphComponent()
            part.glyphName, part.x, part.y, part.flags = below, place, place, 0x3
            glyph.components.append(part)
        font["glyf"][name] = glyph
    return _saved(font)


def substitution_bomb():
    """A font that replaces each letter by thirty, twelve times over."""
    font = TTFont(io.BytesIO(small()))
    font["GSUB"] = newTable("GSUB")
    names = font.getGlyphOrder()[4:17]
    first = font.getBestCmap()[ord("A")]
    chain = [first, *[name for name in names if name != first]][:13]
    pairs = enumerate(itertools.pairwise(chain))
    steps = [f"lookup l{i} {{ sub {one} by {' '.join([other] * 30)}; }} l{i};" for i, (one, other) in pairs]
    used = " ".join(f"lookup l{i};" for i in range(len(steps)))
    addOpenTypeFeaturesFromString(font, "\n".join(steps) + f"\nfeature liga {{ {used} }} liga;")
    return _saved(font)
