"""The only place where a mark is reversed. Reversed twice it would print mirrored, so that is a type error here.

        as drawn            as seen             as cut
        y down              y up                y up, left and right changed
        (SVG numbers)       (what prints)       (what the cutter meets)

The first step changes only the numbers, not what the eye sees: a document counts y downwards, a mill upwards. The
second step changes what the eye sees. In numbers both are reflections, and both together are a half turn.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import shapely

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class AsSeen(NamedTuple):
    """An area as the customer reads it and as it prints; y up."""

    area: shapely.MultiPolygon


class AsCut(NamedTuple):
    """An area as the cutter meets it on the face; y up."""

    area: shapely.MultiPolygon


def as_seen(drawn: shapely.MultiPolygon) -> AsSeen:
    """Count y upwards: what is seen stays the same."""
    return AsSeen(shapely.transform(drawn, _upside_down))


def as_drawn(seen: AsSeen) -> shapely.MultiPolygon:
    """Count y downwards again, as the document does."""
    return shapely.transform(seen.area, _upside_down)


def reverse(seen: AsSeen) -> AsCut:
    """Change left and right: the face that prints `seen`."""
    return AsCut(shapely.transform(seen.area, _left_to_right))


def not_reversed(seen: AsSeen) -> AsCut:
    """Cut the face as it reads, for whoever asked for it: it prints mirrored."""
    return AsCut(seen.area)


def printed(cut: AsCut) -> AsSeen:
    """What the face `cut` prints: pressing changes left and right once more."""
    return AsSeen(shapely.transform(cut.area, _left_to_right))


def _upside_down(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    return xy * (1.0, -1.0)


def _left_to_right(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    return xy * (-1.0, 1.0)
