"""A DXF drawing, opened: its entities as painted shapes of the page, which is as large as the ink."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from stampwright.artwork.display import Drawing
from stampwright.base import ArtworkError, Refusal, StampwrightError
from stampwright.base.quantities import MM_PER_CSS_PX

from .document import FAULTS, broken, mm_per_unit, opened
from .entities import add
from .found import found_in
from .remarks import Remarks
from .scene import Scene
from .walk import Walk

if TYPE_CHECKING:
    from collections.abc import Callable

    from stampwright.artwork.notices import Log
    from stampwright.artwork.paint import PaintRule
    from stampwright.base import Bounds

    from .placed import Placed

_PX = 1 / MM_PER_CSS_PX


class DxfSource:
    """One DXF drawing. Colours do not matter in it: whatever is filled is ink, under every rule."""

    kind: Literal["dxf"] = "dxf"

    def __init__(self, data: bytes, *, unit: Literal["mm", "in"] | None, scale_of: Callable[[Bounds], float]) -> None:
        """Parse. Raises `ArtworkError` or `TooComplex`."""
        self._document = opened(data)
        self._unit, self._scale_of = unit, scale_of

    def place_of(self, piece: Placed) -> str:
        """Layer, inserts, kind and handle."""
        return piece.name

    def drawing(self, log: Log, rule: PaintRule) -> Drawing:  # noqa: ARG002  colour does not matter
        """All ink, its box at the page's origin."""
        remarks = Remarks(log)
        scene = self._scene(remarks)
        log.refuse_if_any()
        found = found_in(scene, self._scale_of)
        box = found.box()
        if box is None:
            raise _no_ink(remarks)
        x0, _, _, y1 = box
        remarks.tell(lambda b: (b[0] - x0, y1 - b[3], b[2] - x0, y1 - b[1]))
        return Drawing(found.shapes((_PX, 0.0, 0.0, -_PX, -x0 * _PX, y1 * _PX)), None)

    def _scene(self, remarks: Remarks) -> Scene:
        scene = Scene(remarks)
        try:
            self._gather(scene)
        except StampwrightError:
            raise
        except FAULTS:
            raise broken() from None
        scene.keep_finite()
        return scene

    def _gather(self, scene: Scene) -> None:
        mm, said = mm_per_unit(self._document, self._unit)
        if not said:
            scene.remarks.note("no-units")
        for placed in Walk(self._document, scene.remarks).placed(mm):
            add(scene, placed)
        if any(len(layout) for layout in self._document.layouts if not layout.is_modelspace):
            scene.remarks.note("paper-space")


def _no_ink(remarks: Remarks) -> ArtworkError:
    said = ", ".join(f"`{code}`" for code in remarks.codes if code != "no-units")
    because = f" What is drawn was left out: {said}." if said else ""
    detail = f"Nothing in the modelspace encloses an area.{because} Draw closed outlines or solid hatches."
    return ArtworkError([Refusal("no-ink", detail)])
