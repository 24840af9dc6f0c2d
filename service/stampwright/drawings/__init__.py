"""Stage 11, drawings: what people judge a stamp by, for SVG or PNG; the sheet as PDF; the solid as a picture."""

from .contact import MOST_TILES, Tile, contact_pdf, contact_svg
from .cutting_view import draw_cutting
from .kinds import kinds_of, unlisted
from .lettering import short_name
from .picture import picture_png
from .plain import draw_plain
from .proof import draw_face, draw_print
from .raster import png_of
from .sheet import PAPERS, Paper, sheet_pdf
from .svg import clean, svg_of
from .toolpaths import draw_paths
from .typeface import font_file

VIEWS = {"print": draw_print, "face": draw_face, "cutting": draw_cutting}
"""The three drawings of a stamp, by what they show."""

__all__ = [
    "MOST_TILES",
    "PAPERS",
    "VIEWS",
    "Paper",
    "Tile",
    "clean",
    "contact_pdf",
    "contact_svg",
    "draw_cutting",
    "draw_face",
    "draw_paths",
    "draw_plain",
    "draw_print",
    "font_file",
    "kinds_of",
    "picture_png",
    "png_of",
    "sheet_pdf",
    "short_name",
    "svg_of",
    "unlisted",
]
