"""Bring the ink to the head: turned, fitted, centred, reversed, on the grid, and cut off at the margin."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from stampwright.base import DoesNotFit, JobError, Notice, numbered
from stampwright.base.tolerances import SLIVER_MM2, WIDTH_MM
from stampwright.plane import count_pinches, count_slivers, on_grid, part_pinches, polygons_of, without_slivers

from .face import Face
from .fit import exact_scale
from .head import field_of, outline_of
from .mirror import AsCut, AsSeen, as_drawn, as_seen, not_reversed, printed, reverse

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stampwright.artwork import Mark
    from stampwright.catalogue import Cutter, Substrate
    from stampwright.job import Head, Job

_LEAST_SIDE_MM = 1.0  # straight side between floor and broken edge: what a vice and a square still find; our own rule
_TINY = 0.4  # of the page, both ways; published icons fill 0.56 and more
_QUARTERS = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}  # exact, cos(90°) is not


class _Move(NamedTuple):
    """print = scale · (turn · seen − centre), both with y up."""

    turn: NDArray[np.float64]  # (2, 2)
    centre: NDArray[np.float64]  # (2,), in the turned mark
    scale: float

    def there(self, xy: NDArray[np.float64]) -> NDArray[np.float64]:
        return (xy @ self.turn.T - self.centre) * self.scale

    def back(self, xy: NDArray[np.float64]) -> NDArray[np.float64]:
        return (xy / self.scale + self.centre) @ self.turn


def lay_out(mark: Mark, job: Job, substrate: Substrate) -> Face:
    """Lay a mark out on the head of a job. The turn is counter-clockwise as seen on the print.

    Raises `JobError` and `DoesNotFit` that name the field of the job.
    """
    _keep_known_size(mark, job)
    relief_mm = _relief_mm(job, substrate)
    chord_mm = job.artwork.chord_mm
    seen = as_seen(mark.ink)
    move = _move_of(seen, job)
    laid = AsSeen(on_grid(shapely.transform(seen.area, move.there)))
    symmetric = _is_mirror_symmetric(laid)
    cut = reverse(laid) if job.placement.reverse else not_reversed(laid)
    within, beyond = _parted_at(cut, field_within(job))
    touching = without_slivers(within)
    ink = part_pinches(touching)
    if ink is not touching:  # put on the grid once more, a hair of a neck may close
        ink = without_slivers(ink)
    left_out = tuple(_cut_off(beyond, cut, move, job))
    head = outline_of(job.head).polygon(chord_mm=chord_mm)
    _check_floor(head, ink)
    return Face(
        ink=ink,
        head=head,
        relief_mm=relief_mm,
        scale=move.scale,
        reversed=job.placement.reverse,
        mirror_symmetric=symmetric,
        repaired=() if ink is within else tuple(_repairs(within, parting_mm2=touching.area - ink.area)),
        left_out=left_out,
        hints=tuple(_tiny_on_page(mark)) if job.placement.fit == "actual_size" else (),
    )


def _check_floor(head: shapely.Polygon, ink: shapely.MultiPolygon) -> None:
    """Something stands, and something is left to clear around it."""
    if ink.is_empty:
        detail = "all ink within the margin of the head is dust: ask for a smaller mark, or fit it by `contain`"
        raise DoesNotFit.at("mark-off-head", detail, pointer="/job/placement/fit")
    if head.area - ink.area <= SLIVER_MM2:
        detail = (
            "the ink covers the whole head: with no floor around it a plain block would print. Ask for a smaller mark, "
            "a larger head or a margin; or the ground was taken for ink: see artwork.ink"
        )
        raise DoesNotFit.at("no-floor", detail, pointer="/job/placement/fit")


def field_within(job: Job) -> shapely.Polygon:
    """The convex field inside the margin, in face coordinates. Raises `DoesNotFit` when the margins leave none."""
    # one chord of slack: the flattened field lies inside the true one by that, and shall not shave what just fits
    chord_mm = job.artwork.chord_mm
    return field_of(job.head, job.placement.margin_mm).inset(-chord_mm).polygon(chord_mm=chord_mm)


def _chosen_relief_mm(substrate: Substrate, rack: tuple[Cutter, ...]) -> float:
    """The middle of the range the substrate's row gives, or as deep into that range as every cutter fit for it cuts."""
    low, high = substrate.relief_low_mm, substrate.relief_high_mm
    fit_mm = [cutter.length_of_cut_mm for cutter in rack if cutter.length_of_cut_mm >= low]
    return min([(low + high) / 2, *fit_mm])


def _relief_mm(job: Job, substrate: Substrate) -> float:
    """What the job asks for, else what suits the substrate and the rack."""
    relief, head = job.relief, job.head
    outline_of(head)
    chosen = _chosen_relief_mm(substrate, job.cutters)
    relief_mm = chosen if relief.height_mm is None else relief.height_mm
    if not (math.isfinite(relief_mm) and relief_mm > 0):
        raise JobError.at("relief", f"relief {relief_mm:g} mm: give more than 0", pointer="/job/relief/height")
    if relief_mm >= head.thickness_mm:
        detail = (
            f"a relief of {relief_mm:g} mm is deeper than the block of {head.thickness_mm:g} mm: "
            f"give a relief below {head.thickness_mm:g} mm, or a thicker head"
        )
        pointer = "/job/head/thickness" if relief.height_mm is None else "/job/relief/height"
        raise DoesNotFit.at("relief-through-head", detail, pointer=pointer)
    _check_break(head, relief_mm)
    return relief_mm


def _check_break(head: Head, relief_mm: float) -> None:
    """The broken edge leaves a straight side under the floor, and at least half of the back."""
    wide_mm, side_mm = head.edge_break_mm, min(head.width_mm, head.height_mm)
    if not wide_mm:
        return
    most_mm = math.floor(100 * min(head.thickness_mm - relief_mm - _LEAST_SIDE_MM, side_mm / 4)) / 100
    if not wide_mm <= most_mm:
        most = f"give at most {most_mm:g} mm" if most_mm > 0 else "give 0, or a thicker head"
        detail = (
            f"an edge break of {wide_mm:g} mm on a head of {head.thickness_mm:g} mm with a relief of {relief_mm:g} mm: "
            f"{_LEAST_SIDE_MM:g} mm of straight side must stay below the floor, and half of the back's shorter side, "
            f"{side_mm:g} mm; {most}"
        )
        raise DoesNotFit.at("edge-break-too-wide", detail, pointer="/job/head/edge_break")


def _keep_known_size(mark: Mark, job: Job) -> None:
    """Refuse the drawing's own size where it does not say in which unit it is drawn."""
    if job.placement.fit == "actual_size" and any(notice.code == "no-units" for notice in mark.repaired):
        detail = 'The drawing does not say its unit, and its own size is asked for. Give artwork.unit "mm" or "in".'
        raise JobError.at("no-units", detail, pointer="/job/artwork/unit")


def _tiny_on_page(mark: Mark) -> list[Notice]:
    """Hint at a mark that is small on its page, where the drawing's own size is taken."""
    x0, y0, x1, y1 = (float(side) for side in mark.ink.bounds)
    width_mm, height_mm = mark.page_mm
    share = max((x1 - x0) / width_mm, (y1 - y0) / height_mm)
    if share >= _TINY:
        return []
    says = f"The mark fills {share:.0%} of its page of {width_mm:.4g} x {height_mm:.4g} mm, and its size is taken."
    remedy = 'If it is not drawn at the size meant, give placement.fit "contain" or a width.'
    return [Notice("tiny-on-page", says, remedy, bounds_mm=(x0, y0, x1, y1))]


def _move_of(seen: AsSeen, job: Job) -> _Move:
    turn_deg = job.placement.turn_deg
    if not math.isfinite(turn_deg):
        raise JobError.at("turn", f"turn {turn_deg} degrees: give a number", pointer="/job/placement/turn_deg")
    angle = math.radians(turn_deg)
    cos, sin = _QUARTERS.get(turn_deg % 360.0, (math.cos(angle), math.sin(angle)))
    turn = np.array([[cos, -sin], [sin, cos]])
    turned = AsSeen(shapely.transform(seen.area, lambda xy: xy @ turn.T))
    x0, y0, x1, y1 = turned.area.bounds
    scale = exact_scale(turned, head=job.head, placement=job.placement)
    return _Move(turn, np.array([(x0 + x1) / 2, (y0 + y1) / 2]), scale)


def _is_mirror_symmetric(laid: AsSeen) -> bool:
    """Whether the print equals its mirror image: nowhere do they differ by a strip wider than four width tolerances."""
    strip_mm = 4 * WIDTH_MM
    area = laid.area
    # a symmetric mark's centre of area lies on the axis, but for what strips along the whole outline could move
    reach_mm = max(abs(area.bounds[0]), abs(area.bounds[2]))
    if abs(area.centroid.x) > strip_mm * area.length * reach_mm / area.area:
        return False
    # a disc within some land, whose mirror image lies on bare ground, is as wide a strip: most marks have one at once
    inside = shapely.point_on_surface(shapely.get_parts(area))
    shapely.prepare([area, outline := shapely.boundary(area)])
    is_bare = ~shapely.dwithin(area, shapely.transform(inside, lambda xy: xy * (-1, 1)), strip_mm / 2)
    if not shapely.dwithin(outline, inside[is_bare], strip_mm / 2).all():
        return False
    parts = shapely.get_parts(shapely.symmetric_difference(area, printed(AsCut(area)).area))
    wide = parts[shapely.area(parts) >= math.pi * (strip_mm / 2) ** 2]  # less holds no disc of that width
    return bool(shapely.is_empty(shapely.buffer(wide, -strip_mm / 2, quad_segs=2)).all())


def _parted_at(cut: AsCut, field: shapely.Polygon) -> tuple[shapely.MultiPolygon, shapely.MultiPolygon]:
    """Part the ink into what lies within the field and what lies beyond it."""
    shapely.prepare(field)
    if shapely.covers(field, cut.area):
        return cut.area, shapely.MultiPolygon()
    return on_grid(shapely.intersection(cut.area, field)), polygons_of(shapely.difference(cut.area, field))


def _repairs(ink: shapely.MultiPolygon, *, parting_mm2: float) -> list[Notice]:
    """Say what is dropped, and what is parted at the cost of so much area."""
    slivers, pinches = count_slivers(ink), count_pinches(ink)
    notices = []
    if slivers:
        specks = numbered(slivers, "speck or pinhole", "specks or pinholes")
        says = f"Dropped from the finished face: {specks} below {SLIVER_MM2:g} mm²"
        notices.append(
            Notice("slivers-dropped", says, "Nothing to do: no cutter makes them, no wood shows them.", None, slivers)
        )
    if pinches:
        points = numbered(pinches, "point")
        says = f"Parted by a hair, below 0.01 mm, at {points} where areas only touch: {parting_mm2:.1g} mm²"
        remedy = "If they shall hang together, draw a bridge of at least the least land width."
        notices.append(Notice("touching-parted", says, remedy, None, pinches))
    return notices


def _cut_off(beyond: shapely.MultiPolygon, cut: AsCut, move: _Move, job: Job) -> list[Notice]:
    """Say what ran over the margin, with its place in the mark as drawn. Raises `DoesNotFit` when nothing is left."""
    share = beyond.area / cut.area.area
    if beyond.area <= SLIVER_MM2:
        return []
    if share > 1 - 1e-9:
        detail = "all ink lies beyond the margin of the head: ask for a smaller mark, or fit it by `contain`"
        raise DoesNotFit.at("mark-off-head", detail, pointer="/job/placement/fit")
    seen = printed(AsCut(beyond)) if job.placement.reverse else AsSeen(beyond)
    drawn = as_drawn(AsSeen(shapely.transform(seen.area, move.back)))
    lost = f"{100 * share:.3g} % of the mark, {beyond.area:.3g} mm²"
    says = f"Ink beyond the margin of {job.placement.margin_mm:g} mm was cut off: {lost}."
    remedy = "Ask for a smaller mark, a larger head or a smaller margin, or fit it by `contain`."
    count, bounds = len(beyond.geoms), tuple(float(v) for v in drawn.bounds)
    x0, y0, x1, y1 = bounds
    return [Notice("outside-margin", says, remedy, None, count, (x0, y0, x1, y1), float(share))]
