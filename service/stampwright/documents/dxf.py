"""DXF (R2010, millimetres) from layers with a name and a description; the same bytes for the same content."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

_MILLIMETRES = 4  # $INSUNITS: the DXF reference numbers units 1 inches, 4 millimetres, 6 metres
_METRIC = 1  # $MEASUREMENT


def new_document(layers: Mapping[str, str]) -> Any:  # noqa: ANN401  of a library that costs a quarter of a second to load, so only here
    """An empty drawing with these layers, name to description."""
    import ezdxf  # noqa: PLC0415  see above

    ezdxf.options.write_fixed_meta_data_for_testing = True  # else dates and random identifiers change the bytes
    document = ezdxf.new("R2010", units=_MILLIMETRES)
    document.header["$MEASUREMENT"] = _METRIC
    for name, says in layers.items():
        document.layers.add(name).description = says
    return document


def bytes_of(document: Any) -> bytes:  # noqa: ANN401  see above
    """The file."""
    for kind in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(kind)  # the library would add them in the order of a set
    written = io.StringIO(newline="")
    document.write(written)
    return bytes(written.getvalue().encode(document.output_encoding))
