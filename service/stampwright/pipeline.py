"""The whole job on one page: a mark and a job go in, a stamp comes out. No Flask, no files, no state."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from dataclasses import dataclass
from functools import cached_property, partial
from typing import TYPE_CHECKING

from stampwright import __version__
from stampwright.artwork import read_artwork
from stampwright.base import stage
from stampwright.catalogue import metal_named, substrate_named
from stampwright.cutting import plan_cutting, price_of, with_failure
from stampwright.heat import plan_use
from stampwright.layout import field_within, lay_out, scale_for
from stampwright.plane import Closings, medial_axis
from stampwright.review import review_face
from stampwright.solid import Sharpened, build_solid, plan_hole
from stampwright.thickening import thicken

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stampwright.artwork import Mark
    from stampwright.cutting import CuttingPlan, Price
    from stampwright.heat import UseSheet
    from stampwright.job import Job
    from stampwright.layout import Face
    from stampwright.plane import Axis, Diagram
    from stampwright.review import Review
    from stampwright.solid import Hole, Solid
    from stampwright.thickening import Growth


@dataclass(frozen=True)
class Laid:
    """A mark on its head with what every later step shares: the axis of its outlines and the closings of its ink."""

    mark: Mark
    face: Face
    hole: Hole | None
    growth: Growth | None = None  # None when thin lands are not to be grown
    grown_axis: Axis | None = None  # of the face with its lands grown; growing has made it
    drawn_axis: Axis | None = None  # of the face before, if any land was grown

    @cached_property
    def axis(self) -> Axis:
        """The medial axis of the outlines, made when it is first asked for: the solid alone does without."""
        if self.grown_axis is not None:
            return self.grown_axis
        with stage("plane"):
            return medial_axis(self.face.ink)

    @cached_property
    def closings(self) -> Closings:
        """What discs do not reach, a radius at a time."""
        return Closings(self.face.ink, self.axis)

    @property
    def diagram(self) -> Diagram | None:
        """The diagram of the outlines, if somebody has asked for their axis."""
        axis = self.grown_axis or self.__dict__.get("axis")
        return axis.diagram if axis else None


@dataclass(frozen=True, slots=True)
class Reviewed:
    """The quick answer: what will disappoint, before anything is planned."""

    digest: str
    laid: Laid
    review: Review

    @property
    def mark(self) -> Mark:
        """The mark as drawn."""
        return self.laid.mark

    @property
    def face(self) -> Face:
        """The face as cut."""
        return self.laid.face

    @property
    def growth(self) -> Growth | None:
        """What growing thin lands did, when it was asked for."""
        return self.laid.growth


@dataclass(frozen=True, slots=True)
class Stamp:
    """Everything the whole job yields."""

    digest: str
    job: Job
    mark: Mark
    face: Face
    growth: Growth | None
    solid: Solid
    review: Review
    plan: CuttingPlan
    use: UseSheet
    price: Price | None
    diagram: Diagram | None = None  # of the face's outlines: the solid as cut beside this one wants it again


def digest_of(artwork: bytes, job: Job, *, fonts: Sequence[bytes] = ()) -> str:
    """SHA-256 over version, job as understood, mark and fonts in order: same digest, same answer [hex]."""
    asked = json.dumps(dataclasses.asdict(job), sort_keys=True, default=sorted)
    whole = hashlib.sha256()
    for part in (__version__.encode(), asked.encode(), artwork, *fonts):
        whole.update(len(part).to_bytes(8, "big") + part)  # framed: no byte can move from one part into the next
    return whole.hexdigest()


def lay(artwork: bytes, job: Job, *, fonts: Sequence[bytes] = ()) -> Laid:
    """Read the mark and lay it out on its head; grow its thin lands where the job asks for it."""
    with stage("artwork"):
        scale_of = partial(scale_for, head=job.head, placement=job.placement)
        mark = read_artwork(artwork, job.artwork, scale_of=scale_of, fonts=fonts)
    with stage("layout"):
        face = lay_out(mark, job, substrate_named(job.substrate))
        hole = plan_hole(job.thread, head=job.head, relief_mm=face.relief_mm)
    if not job.relief.thicken:
        return Laid(mark, face, hole)
    with stage("thickening"):
        face, axis, growth, drawn_axis = thicken(face, job, field=field_within(job))
        return Laid(mark, face, hole, growth, axis, drawn_axis)


def review_mark(artwork: bytes, job: Job, *, fonts: Sequence[bytes] = ()) -> Reviewed:
    """Review the mark only: the quick answer an order form asks for at each change."""
    laid = lay(artwork, job, fonts=fonts)
    return Reviewed(digest_of(artwork, job, fonts=fonts), laid, _review(laid, job))


def make_solid(artwork: bytes, job: Job, *, fonts: Sequence[bytes] = ()) -> Solid:
    """Build the solid only; the cutting is planned just when `as_cut` asks what the cutters leave."""
    laid = lay(artwork, job, fonts=fonts)
    plan = _plan(laid, job) if job.solid == "as_cut" else None
    with stage("solid"):
        return _solid(laid.face, job, laid.hole, laid.diagram, cut_by=plan)


def make_stamp(artwork: bytes, job: Job, *, fonts: Sequence[bytes] = ()) -> Stamp:
    """Do the whole job. Raises a `StampwrightError` that names place and remedy when it cannot be done."""
    laid = lay(artwork, job, fonts=fonts)
    review = _review(laid, job)
    plan = with_failure(_plan(laid, job, review), review.findings)
    mark, face, growth, diagram, hole = laid.mark, laid.face, laid.growth, laid.diagram, laid.hole
    del laid  # with the axis, a quarter of all memory, and the closings: nobody asks them any more
    with stage("solid"):
        solid = _solid(face, job, hole, diagram, cut_by=plan if job.solid == "as_cut" else None)
    with stage("heat"):
        use = plan_use(face, solid, job, metal=metal_named(job.metal), substrate=substrate_named(job.substrate))
    price = price_of(plan, job.rates)
    digest = digest_of(artwork, job, fonts=fonts)
    return Stamp(digest, job, mark, face, growth, solid, review, plan, use, price, diagram)


def _review(laid: Laid, job: Job) -> Review:
    axis, substrate = laid.axis, substrate_named(job.substrate)  # the axis is a stage of its own
    with stage("review"):
        return review_face(
            laid.face,
            job,
            hole=laid.hole,
            substrate=substrate,
            axis=axis,
            closings=laid.closings,
            drawn_axis=laid.drawn_axis,
        )


def _plan(laid: Laid, job: Job, review: Review | None = None) -> CuttingPlan:
    axis, metal = laid.axis, metal_named(job.metal)
    with stage("cutting"):
        return plan_cutting(
            laid.face, job, hole=laid.hole, metal=metal, axis=axis, closings=laid.closings, review=review
        )


def solid_as_cut(stamp: Stamp) -> Solid:
    """The solid that the plan's cutters really leave; the stamp's own when the job asked for that."""
    if stamp.solid.kind == "as_cut":
        return stamp.solid
    return _solid(stamp.face, stamp.job, stamp.solid.hole, stamp.diagram, cut_by=stamp.plan)


def _solid(face: Face, job: Job, hole: Hole | None, diagram: Diagram | None, *, cut_by: CuttingPlan | None) -> Solid:
    return build_solid(
        face,
        head=job.head,
        hole=hole,
        density_kg_m3=metal_named(job.metal).density_kg_m3,
        draft_deg=job.relief.draft_deg,
        chord_mm=job.artwork.chord_mm,
        left_uncut=cut_by.left_uncut if cut_by else None,
        sharpened=_sharpened(cut_by, job) if cut_by else None,
        diagram=diagram,
    )


def _sharpened(plan: CuttingPlan, job: Job) -> Sharpened | None:
    """What the flat cutters left to a pointed one, if the plan has one."""
    pointed = (cutter for cutter in job.cutters if cutter.shape == "pointed" and cutter.key in plan.cutters)
    return next((Sharpened(plan.left_by_flats, cutter) for cutter in pointed), None)
