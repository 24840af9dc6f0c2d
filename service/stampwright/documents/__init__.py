"""Stage 11, documents: the answer as JSON, the drawings, the bundle. Fixed dates: the same job gives the same bytes."""

from .answer import (
    CutterSchema,
    MetalSchema,
    ReviewAnswerSchema,
    StampSchema,
    SubstrateSchema,
    ThreadSchema,
    stamp_json,
)
from .bundle import bundle_bytes
from .cutting_view import draw_cutting
from .proof import draw_face, draw_print

__all__ = [
    "CutterSchema",
    "MetalSchema",
    "ReviewAnswerSchema",
    "StampSchema",
    "SubstrateSchema",
    "ThreadSchema",
    "bundle_bytes",
    "draw_cutting",
    "draw_face",
    "draw_print",
    "stamp_json",
]
