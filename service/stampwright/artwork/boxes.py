"""Boxes (x0, y0, x1, y1) of any unit: around several, and what two have in common."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stampwright.base import Bounds


def around(boxes: Iterable[Bounds | None]) -> Bounds | None:
    """The box around all that there are; None when there are none."""
    found = [box for box in boxes if box is not None]
    if not found:
        return None
    x0, y0, x1, y1 = zip(*found, strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def common(a: Bounds | None, b: Bounds | None) -> Bounds | None:
    """What two boxes have in common; None when there is only one, or when that has no area."""
    if a is None or b is None:
        return None
    x0, y0, x1, y1 = max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3])
    return (x0, y0, x1, y1) if x0 < x1 and y0 < y1 else None
