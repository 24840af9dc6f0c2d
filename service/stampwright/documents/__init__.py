"""Stage 13, documents: the answer as JSON, the bundle of all files. Fixed dates: the same job gives the same bytes."""

from .answer import (
    CutterSchema,
    MetalSchema,
    ReviewAnswerSchema,
    StampSchema,
    SubstrateSchema,
    ThreadSchema,
    review_json,
    stamp_json,
)
from .bundle import bundle_bytes
from .contact import Entry, packed, tiles_of
from .outlines import LAYERS, outlines_dxf
from .paths import layer_of, paths_dxf

__all__ = [
    "LAYERS",
    "CutterSchema",
    "Entry",
    "MetalSchema",
    "ReviewAnswerSchema",
    "StampSchema",
    "SubstrateSchema",
    "ThreadSchema",
    "bundle_bytes",
    "layer_of",
    "outlines_dxf",
    "packed",
    "paths_dxf",
    "review_json",
    "stamp_json",
    "tiles_of",
]
