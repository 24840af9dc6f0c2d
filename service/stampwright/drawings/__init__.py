"""Stage 12, drawings: what people judge a stamp by. One drawing, written as SVG, at true size."""

from .cutting_view import draw_cutting
from .kinds import kinds_of, unlisted
from .proof import draw_face, draw_print
from .svg import clean

__all__ = ["clean", "draw_cutting", "draw_face", "draw_print", "kinds_of", "unlisted"]
