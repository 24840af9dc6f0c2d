"""PDFs of one feature each, after the clauses of ISO 32000-1; a unit is 1/72 in, the page 170 x 113 units."""

from __future__ import annotations

import zlib

from paper import PAGE, pdf

_RECT = "20 20 60 40 re f "
_STAR = "85 108 m 119 10 l 33 70 l 137 70 l 51 10 l h "
_FORM = "/Type/XObject/Subtype/Form/BBox[0 0 60 50]"
_LAYER = {
    "resources": "/Properties<</a 5 0 R/b 6 0 R>>",
    "more": ["<</Type/OCG/Name(seen)>>", "<</Type/OCG/Name(off)>>"],
}
_OFF = {**_LAYER, "catalog": "/OCProperties<</OCGs[5 0 R 6 0 R]/D<</OFF[6 0 R]>>>>"}
_TINT_2 = "<</FunctionType 2/Domain[0 1]/C0[0 0 0 0]/C1[0 .9 .8 .3]/N 1>>"
_TINT_3 = (
    "<</FunctionType 3/Domain[0 1]/Bounds[.5]/Encode[0 1 1 0]/Functions[<</FunctionType 2/Domain[0 1]/C0[1]/C1[0]/N 1>>"
    "<</FunctionType 2/Domain[0 1]/C0[1]/C1[0]/N 2>>]>>"
)
_HOLES = "10 10 140 90 re 30 30 100 50 re 50 40 60 30 re "


def _form(content, head="", **more):
    return pdf("q 1.2 0 0 1 20 15 cm /a Do Q " + more.pop("after", ""), resources="/XObject<</a 5 0 R>>",
               more=[(_FORM + head, content.encode()), *more.pop("more", ())], **more)  # fmt: skip


FEATURES = {
    # Pages
    "media box away from the origin": pdf("-30 40 60 40 re f", page="/MediaBox[-50 20 120 133]"),
    "crop box beyond the media box": pdf(_RECT, page=PAGE + "/CropBox[-50 10 300 90]"),
    "corners of a box in any order": pdf(_RECT, page="/MediaBox[170 113 0 0]"),
    "box inherited from the tree": pdf(_RECT, page="", pages="/MediaBox[0 0 200 90]"),
    "turned by 90": pdf(_STAR + "f", page=PAGE + "/Rotate 90"),
    "turned by 180": pdf("10 10 m 90 20 l 30 100 l f", page=PAGE + "/Rotate 180"),
    "turned by 270, inherited": pdf("10 10 m 90 20 l 30 100 l f", pages="/Rotate 270"),
    "content in parts": pdf("", contents="[5 0 R 6 0 R]", more=[("", b"20 20 60"), ("", b"40 re f")]),
    # Paths and painting
    "filled by nonzero": pdf(_STAR + "f"),
    "filled by even-odd": pdf(_STAR + "f*"),
    "curves of three kinds": pdf("20 20 m 20 90 60 90 60 50 c 90 90 110 60 v 130 30 150 20 y h f"),
    "open paths are closed to fill": pdf("20 20 m 120 30 l 60 100 l f"),
    "line after a close begins at its start": pdf("20 20 m 60 20 l 60 60 l h 20 90 l 5 90 l f"),
    "fill and stroke": pdf("1 g 0 G 8 w 30 30 80 50 re B"),
    "close, fill and stroke": pdf("1 g 6 w 30 20 m 130 30 l 80 100 l b"),
    "fill even-odd and stroke": pdf("1 0 0 RG 4 w " + _STAR + "B*"),
    "light over dark removes": pdf(_RECT + "1 g 40 30 20 20 re f 0 g 45 35 8 8 re f"),
    "unknown operators and a Q too many": pdf("Q Q foo 1 2 bar q " + _RECT + "Q Q BX 7 baz EX 100 20 40 30 re f"),
    # Strokes
    "caps": pdf("12 w 30 30 m 140 30 l S 1 J 30 60 m 140 60 l S 2 J 30 90 m 140 90 l S"),
    "joins": pdf("9 w 20 20 m 40 90 l 60 20 l S 1 j 70 20 m 90 90 l 110 20 l S 2 j 120 20 m 140 90 l 160 20 l S"),
    "mitre limit": pdf("8 w 3 M 30 20 m 50 90 l 70 20 l S 10 M 100 20 m 120 80 l 140 20 l S"),
    "dashes with a phase": pdf("7 w [18 6 4] 5 d 10 50 m 160 50 l S [9] 0 d 1 J 2 w 20 20 130 70 re S"),
    "stroke under a skew": pdf("q 2 0 .8 1 0 0 cm 6 w 10 20 m 30 90 l 50 20 l S Q"),
    "stroke closed": pdf("9 w 30 20 m 130 30 l 80 95 l s"),
    # State
    "nested states": pdf("q 1 0 0 1 20 10 cm q .5 0 0 .5 0 0 cm 0 0 80 80 re f Q 60 0 40 40 re f Q 0 90 20 20 re f"),
    "width from a dictionary": pdf("/a gs 20 50 m 150 50 l S", resources="/ExtGState<</a<</LW 14/LC 1>>>>"),
    # Clips
    "clip by nonzero": pdf(f"{_HOLES} W n 0 0 170 113 re f"),
    "clip by even-odd": pdf(f"{_HOLES} W* n 0 0 170 113 re f"),
    "clip takes effect after its painting": pdf("20 20 40 40 re W f 30 30 100 60 re f"),
    "clips in each other": pdf("q 20 20 90 70 re W n " + _STAR + "W* n 0 0 170 113 re f Q 140 90 20 20 re f"),
    "clip kept by Q": pdf("q 20 20 30 30 re W n Q 10 10 100 90 re f"),
    "empty clip": pdf("130 90 20 20 re f 20 20 0 0 re W n 10 10 100 90 re f"),
    # Forms
    "form with a matrix and a box": _form("-20 -20 300 50 re f 10 20 m 50 80 l 50 0 l f", "/Matrix[.8 .2 -.2 .9 12 4]"),
    "form inherits the colour": _form("1 0 0 rg " + _RECT, after="100 60 40 30 re f"),
    "form in a form": _form("/b Do", "/Resources<</XObject<</b 6 0 R>>>>", more=[(_FORM, b"10 10 35 20 re f")]),
    "form with the resources of its page": pdf(
        "/a Do",
        resources="/XObject<</a 5 0 R/b 6 0 R>>",
        more=[(_FORM, b"q 1 0 0 1 5 5 cm /b Do Q"), (_FORM, b"10 10 35 20 re f")],
    ),
    "form flipped": pdf(
        "q -1 0 0 1 90 0 cm /a Do Q", resources="/XObject<</a 5 0 R>>", more=[(_FORM, b"0 0 m 50 5 l 9 45 l f")]
    ),
    # Colours
    "grey at either side of one half": pdf(".45 g 20 20 40 40 re f .55 g 90 20 40 40 re f"),
    "rgb": pdf("1 1 0 rg 10 10 60 90 re f 0 0 1 rg 40 30 60 40 re f 0 1 0 rg 70 40 10 10 re f"),
    "cmyk": pdf("0 0 0 1 k 10 10 90 90 re f 0 0 1 0 k 30 30 20 20 re f 1 1 0 0 k 120 20 30 70 re f"),
    "separation by an exponential": pdf(
        "/s cs 1 scn " + _RECT + ".1 scn 100 20 40 30 re f",
        resources=f"/ColorSpace<</s[/Separation/Rust/DeviceCMYK {_TINT_2}]>>",
    ),
    "separation by stitching": pdf(
        "/s cs .5 scn " + _RECT + "1 scn 100 20 40 30 re f",
        resources=f"/ColorSpace<</s[/Separation/Rust/DeviceGray {_TINT_3}]>>",
    ),
    "separation by samples": pdf(
        "/s cs .5 scn " + _RECT + "1 scn 100 20 40 30 re f",
        resources="/ColorSpace<</s[/Separation/Rust/DeviceRGB 5 0 R]>>",
        more=[
            (
                "/FunctionType 0/Domain[0 1]/Range[0 1 0 1 0 1]/Size[3]/BitsPerSample 8",
                bytes([255] * 3 + [9] * 3 + [240] * 3),
            )
        ],
    ),
    "separation of all inks": pdf(
        "/s cs 1 scn " + _RECT, resources=f"/ColorSpace<</s[/Separation/All/DeviceCMYK {_TINT_2}]>>"
    ),
    "indexed": pdf(
        "/s cs 1 sc " + _RECT + "0 sc 35 30 20 20 re f",
        resources="/ColorSpace<</s[/Indexed/DeviceRGB 1<ffffff 203010>]>>",
    ),
    "profiles by their count": pdf(
        "/s cs 0 .1 0 sc " + _RECT + "/t cs .9 sc 30 30 20 20 re f",
        resources="/ColorSpace<</s[/ICCBased 5 0 R]/t[/ICCBased 6 0 R]>>",
        more=[("/N 3", b"no profile"), ("/N 1", b"no profile")],
    ),
    "lab": pdf(
        "/s cs 20 10 -30 sc " + _RECT + "90 0 20 sc 30 30 20 20 re f",
        resources="/ColorSpace<</s[/Lab<</WhitePoint[.9505 1 1.089]/Range[-100 100 -100 100]>>]>>",
    ),
    # Layers
    "layer switched on": pdf("/OC/a BDC " + _RECT + "EMC", **_OFF),
    "multiply of light and dark": pdf(
        "0 g " + _RECT + "/a gs 1 1 0 rg 10 10 50 30 re f 0 0 1 rg 60 30 60 60 re f",
        resources="/ExtGState<</a<</BM/Multiply>>>>",
    ),
    "shading on the dark side": pdf(
        "q 20 20 100 60 re W n /a sh Q",
        resources="/Shading<</a<</ShadingType 2/ColorSpace/DeviceRGB/Coords[20 0 120 0]/Extend[true true]"
        "/Function<</FunctionType 2/Domain[0 1]/C0[0 0 0]/C1[.3 .3 .3]/N 1>>>>>>",
    ),
    # Syntax
    "numbers of every form": pdf("1. 0 +0 1.0 .50 -.0 cm 20. 20 60.000 +40 re f"),
    "comments and strange spaces": pdf(b"20%twenty\r20\x0060\x0c40\tre%\nf"),
    "strings with parentheses are passed over": pdf("/x<</a(\\)((1 g))\\()/b[<41>(f)]>>BDC " + _RECT + "EMC"),
    "flate": pdf("", contents="5 0 R", more=[("/Filter/FlateDecode", zlib.compress(_RECT.encode()))]),
    "flate with a predictor": pdf(
        "",
        contents="5 0 R",
        more=[
            (
                "/Filter/FlateDecode/DecodeParms<</Predictor 12/Columns 8>>",
                zlib.compress(b"\0" + b"20 20 60" + b"\0" + b" 40 re f"),
            )
        ],
    ),
}

TOLD = {
    "turned by -90 with a crop box": (
        pdf("10 10 m 90 20 l 30 100 l f", page=PAGE + "/CropBox[5 15 95 90]/Rotate -90"),
        "outside-page",
    ),
    "crop box": (pdf(_RECT, page=PAGE + "/CropBox[10 10 70 100]"), "outside-page"),
    "layer switched off": (pdf(_RECT + "/OC/b BDC 100 20 40 40 re f EMC", **_OFF), "hidden-layer"),
    "layer off by a membership": (
        pdf(
            _RECT + "/OC/c BDC 100 20 40 40 re f EMC",
            **{**_OFF, "resources": "/Properties<</c<</Type/OCMD/OCGs[5 0 R 6 0 R]/P/AllOn>>>>"},
        ),
        "hidden-layer",
    ),
    "form on a layer that is off": (
        pdf(
            _RECT + "/f Do",
            resources="/XObject<</f 7 0 R>>",
            more=[*_LAYER["more"], (_FORM + "/OC 6 0 R", b"0 0 50 90 re f")],
            catalog=_OFF["catalog"],
        ),
        "hidden-layer",
    ),
    "line without width": (pdf(_RECT + "0 w 10 90 m 160 90 l S"), "hairline"),
    "translucent": (pdf("/a gs " + _RECT, resources="/ExtGState<</a<</ca .8>>>>"), "translucent-as-solid"),
    "faint": (pdf(_RECT + "/a gs 100 20 40 40 re f", resources="/ExtGState<</a<</ca .2>>>>"), "translucent-skipped"),
    "group alpha": (
        pdf(
            "/a gs /f Do",
            resources="/ExtGState<</a<</ca .7>>>>/XObject<</f 5 0 R>>",
            more=[(_FORM + "/Group<</S/Transparency>>", b"/g gs 10 10 40 30 re f")],
        ),
        "translucent-as-solid",
    ),
    "blend": (
        pdf("0 g " + _RECT + "/a gs 40 30 90 60 re f", resources="/ExtGState<</a<</BM/Difference>>>>"),
        "blend-ignored",
    ),
    "overprint": (
        pdf("0 0 0 1 k " + _RECT + "/a gs 0 0 1 0 k 30 30 20 20 re f", resources="/ExtGState<</a<</op true/OPM 1>>>>"),
        "overprint-ignored",
    ),
    "shading across one half": (
        pdf(
            "q 20 20 100 60 re W n /a sh Q",
            resources="/Shading<</a<</ShadingType 2/ColorSpace/DeviceGray/Coords[20 0 120 0]/Extend[true true]"
            "/Function<</FunctionType 2/Domain[0 1]/C0[0]/C1[.7]/N 1>>>>>>",
        ),
        "gradient-crosses-threshold",
    ),
    "shading that ends": (
        pdf(
            "/a sh",
            resources="/Shading<</a<</ShadingType 2/ColorSpace/DeviceGray/Coords[20 0 60 0]"
            "/Function<</FunctionType 2/Domain[0 1]/C0[0]/C1[.1]/N 1>>>>>>",
        ),
        "shading-ends",
    ),
    "shading in the plane": (
        pdf(_RECT + "/a sh", resources="/Shading<</a<</ShadingType 1/ColorSpace/DeviceGray>>>>"),
        "shading-skipped",
    ),
    "calculated tint": (
        pdf(
            "/s cs 1 scn " + _RECT,
            resources="/ColorSpace<</s[/Separation/Rust/DeviceGray 5 0 R]>>",
            more=[("/FunctionType 4/Domain[0 1]/Range[0 1]", b"{1 exch sub}")],
        ),
        "tint-unread",
    ),
    "process green": (pdf("1 0 1 0 k " + _RECT), "colour-near-half"),
    "form that draws itself": (
        pdf(
            _RECT + "/a Do",
            resources="/XObject<</a 5 0 R>>",
            more=[(_FORM + "/Resources<</XObject<</a 5 0 R>>>>", b"/a Do")],
        ),
        "use-cycle",
    ),
    "lost form": (pdf(_RECT + "/a Do"), "broken-reference"),
    "comment on the page": (
        pdf(
            _RECT,
            page=PAGE + "/Annots[5 0 R]",
            more=["<</Type/Annot/Subtype/Square/Rect[90 20 150 90]/AP<</N 6 0 R>>>>", (_FORM, b"0 0 60 50 re f")],
        ),
        "annotation-ignored",
    ),
    "too few operands": (pdf(_RECT + "5 w 1 2 3 re f"), "bad-value"),
}

_IMAGE = "/Type/XObject/Subtype/Image/Width 1/Height 1/ColorSpace/DeviceGray/BitsPerComponent 8"
REFUSED = {
    "image": (
        pdf(_RECT + "q 50 0 0 50 90 20 cm /i Do Q", resources="/XObject<</i 5 0 R>>", more=[(_IMAGE, b"\0")]),
        "raster-image",
    ),
    "inline image": (pdf(_RECT + "q 50 0 0 50 90 20 cm BI/W 1/H 1/CS/G/BPC 8 ID \0 EI Q"), "raster-image"),
    "soft mask": (
        pdf(
            _RECT + "/a gs 100 20 40 40 re f",
            resources="/ExtGState<</a<</SMask<</S/Luminosity/G 5 0 R>>>>>>",
            more=[(_FORM + "/Group<</S/Transparency/CS/DeviceGray>>", b"1 g 0 0 60 50 re f")],
        ),
        "soft-mask",
    ),
    "pattern": (
        pdf(
            _RECT + "/Pattern cs /p scn 100 20 40 40 re f",
            resources="/Pattern<</p 5 0 R>>",
            more=[
                ("/PatternType 1/PaintType 1/TilingType 1/BBox[0 0 5 5]/XStep 5/YStep 5/Resources<<>>", b"0 0 3 3 re f")
            ],
        ),
        "pattern-fill",
    ),
    "font not embedded": (
        pdf(
            _RECT + "BT /F 20 Tf 90 40 Td (Bee) Tj ET",
            resources="/Font<</F<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>>>",
        ),
        "text-not-outlined",
    ),
    "font that is nowhere": (pdf(_RECT + "BT /F 20 Tf 90 40 Td (Bee) Tj ET"), "text-not-outlined"),
    "no page": (pdf(_RECT).replace(b"/Kids[3 0 R]/Count 1", b"/Kids[     ]/Count 0"), "no-page"),
    "flat page": (pdf(_RECT, page="/MediaBox[0 0 0 50]"), "page-size"),
    "huge page": (pdf(_RECT, page="/MediaBox[0 0 20000 50]"), "page-size"),
    "no ink": (pdf("1 g " + _RECT), "no-ink"),
    "nothing but a head": (b"%PDF-1.7\nnothing more", "broken-pdf"),
    "coordinates beyond all bounds": (pdf("1" + "0" * 400 + " 0 m 5 5 l 9 9 l f"), "coordinate-range"),
}
