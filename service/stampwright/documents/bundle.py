"""All files of one job in one archive; dates are fixed, so that the same job gives the same bytes."""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING

from stampwright.drawings import VIEWS, draw_paths, picture_png, png_of, sheet_pdf, svg_of
from stampwright.pipeline import solid_as_cut
from stampwright.solid import stl_bytes, threemf_bytes

from .answer import stamp_json
from .outlines import outlines_dxf
from .paths import paths_dxf
from .readme import readme_text

if TYPE_CHECKING:
    from stampwright.pipeline import Stamp

_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest date the format knows
_UNIX, _FILE_MODE = 3, 0o100644  # else the archive would tell on which system it was made


def bundle_bytes(stamp: Stamp) -> bytes:
    """Pack the answer, the solid, the drawings and a short text, in this order, as ZIP."""
    files = {
        "README.txt": readme_text(stamp).encode(),
        "stamp.json": stamp_json(stamp),
        "face.stl": stl_bytes(stamp.solid),
        "as_cut.stl": stl_bytes(solid_as_cut(stamp)),
        "face.3mf": threemf_bytes(stamp.solid, digest=stamp.digest),
        "face.dxf": outlines_dxf(stamp),
        **_drawings(stamp),
        "paths.svg": svg_of(draw_paths(stamp)).encode(),
        "paths.dxf": paths_dxf(stamp),
        "sheet.pdf": sheet_pdf(stamp),
        "solid.png": picture_png(stamp.solid, digest=stamp.digest),
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, content in files.items():
            entry = zipfile.ZipInfo(name, _DATE)
            entry.create_system, entry.external_attr = _UNIX, _FILE_MODE << 16
            archive.writestr(entry, content, zipfile.ZIP_DEFLATED, compresslevel=6)
    return packed.getvalue()


def _drawings(stamp: Stamp) -> dict[str, bytes]:
    """The three drawings, each as SVG and as PNG."""
    drawn = {{"print": "proof"}.get(view, view): draw(stamp) for view, draw in VIEWS.items()}
    sharp = {f"{name}.svg": svg_of(drawing).encode() for name, drawing in drawn.items()}
    return sharp | {f"{name}.png": png_of(drawing) for name, drawing in drawn.items()}
