"""The review of a face: all families of findings, the reach of each cutter, the verdict."""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING

from stampwright.catalogue import metal_named

from .found import listed, verdict_of, worst_first
from .gaps import gap_findings, gap_limits
from .grown import GrownWidths
from .lands import land_findings, land_limits
from .rack import rack_of
from .reach import corner_findings, reaches_of
from .report import Review
from .scales import least_faithful_width_mm
from .shares import Shares
from .subject import Subject
from .whole import whole_findings
from .widths import Widths

if TYPE_CHECKING:
    from stampwright.catalogue import Substrate
    from stampwright.job import Job
    from stampwright.layout import Face
    from stampwright.plane import Axis, Closings
    from stampwright.solid import Hole


def review_face(  # noqa: PLR0913  the face, the job, and what the pipeline makes once for all stages
    face: Face,
    job: Job,
    *,
    hole: Hole | None,
    substrate: Substrate,
    axis: Axis,
    closings: Closings,
    drawn_axis: Axis | None = None,
) -> Review:
    """Review `face`: `axis` and `closings` are those of its ink, made once for the whole job.

    `drawn_axis`: of its ink before thin lands were grown, if any were.

    Raises `JobError` when even the finest cutter is larger than the head.
    """
    rack = rack_of(job.cutters, relief_mm=face.relief_mm, draft_deg=job.relief.draft_deg, head=job.head)
    widths = Widths(axis) if drawn_axis is None else GrownWidths(axis, Widths(drawn_axis))
    subject = Subject(face, job, hole, metal_named(job.metal), substrate, axis, closings, widths, rack, Shares(axis))
    reaches = reaches_of(subject)
    finest = reaches[rack.judged.index(rack.finest)]
    lands, gaps = land_limits(subject), gap_limits(subject)
    narrow = subject.widths.below(*lands, *gaps)
    findings = worst_first(
        chain(
            land_findings(subject, *narrow[: len(lands)]),
            gap_findings(subject, *narrow[len(lands) :]),
            corner_findings(subject, finest),
            whole_findings(subject),
        )
    )
    told, left_out = listed(findings)
    return Review(
        verdict=verdict_of(findings),
        findings=told,
        cutters=reaches,
        least_faithful_width_mm=least_faithful_width_mm(subject, findings),
        land_min_mm=subject.widths.land_min_mm,
        gap_min_mm=subject.widths.gap_min_mm,
        land_min_at_mm=subject.widths.land_min_at_mm,
        findings_left_out=left_out,
        land_widths=subject.widths.histogram(in_ink=True),
        gap_widths=subject.widths.histogram(in_ink=False),
    )
