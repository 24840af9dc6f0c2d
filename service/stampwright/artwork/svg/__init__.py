"""SVG: a guarded document, its cascade, and the walk through it in the order of painting."""

from .opened import SvgSource

__all__ = ["SvgSource"]
