"""PDF: objects by qpdf, an interpreter of content streams of our own, embedded glyphs; the first page comes out."""

from .opened import PdfSource

__all__ = ["PdfSource"]
