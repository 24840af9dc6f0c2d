"""The whole job as the wire has it, and the rules that hold between its sections."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from stampwright.catalogue import (
    CUTTERS,
    DEFAULT_RACK,
    METALS,
    SUBSTRATES,
    Cutter,
    cutter_named,
    metal_named,
    substrate_named,
)

from .fields import COMMON, Choice, Name, Reason, Text, WordOrObject, told
from .record import Job
from .sections import (
    JobArtworkSchema,
    JobHeadSchema,
    JobLimitsSchema,
    JobPlacementSchema,
    JobReliefSchema,
    Section,
    section,
)
from .workshop import JobCutterSchema, JobMachineSchema, JobRatesSchema, JobThreadSchema, JobUseSchema

MOST_CUTTERS = 24  # a full drawer; every cutter costs a closing of the whole face


class JobSchema(Section):
    """Everything asked for beside the mark. Bounds and defaults are in mm; `units` scales every length and feed."""

    record = Job
    units = Choice("unit of every length and feed of this job; answers are always mm", "mm", "in", default="mm")
    name = Text("what the papers call it", r"[\s\S]*", "must be text", most=200)
    artwork = section(JobArtworkSchema, "how the drawing is read")
    head = section(JobHeadSchema, "the metal block")
    placement = section(JobPlacementSchema, "where the ink comes to lie on the head")
    relief = section(JobReliefSchema, "how high the lands stand, and on what foot")
    limits = section(JobLimitsSchema, "what counts as too thin, too narrow, too far off")
    thread = section(JobThreadSchema, "the hole in the back; null: none", nullable=True)
    metal = Name("what the head is made of, by its key in the catalogue", metal_named, words=METALS)
    substrate = Name("what is branded, by its key in the catalogue", substrate_named, words=SUBSTRATES)
    cutters = fields.List(
        WordOrObject(JobCutterSchema, read=cutter_named, words=CUTTERS),
        validate=validate.Length(
            min=1, max=MOST_CUTTERS, error=Reason("out-of-range", f"must name 1 to {MOST_CUTTERS} cutters")
        ),
        error_messages=COMMON | {"invalid": Reason("wrong-type", "must be a list of cutters")},
        metadata=told(
            "the drawer that the plan chooses from: keys of the catalogue, or cutters of your own",
            default=[cutter.key for cutter in DEFAULT_RACK],
        ),
    )
    machine = section(JobMachineSchema, "what the mill bears")
    solid = Choice(
        "the lands as drawn, or with what the chosen cutters leave; sloping walls slope beside that too",
        "as_drawn",
        "as_cut",
    )
    use = section(JobUseSchema, "how the iron will be heated and held")
    rates = section(JobRatesSchema, "what the shop charges; null: no price is wanted", nullable=True)

    @post_load
    def make(self, data: dict[str, Any], **_: object) -> Job:
        """Turn the sections into a `Job`; the unit has been spent before."""
        data.pop("units", None)
        job = Job(**data | ({"cutters": tuple(data["cutters"])} if "cutters" in data else {}))
        faults = [*_faults_of_rack(job.cutters), *_faults_of_size(job)]
        if faults:
            raise ValidationError(_nested(faults))
        return job


Fault = tuple[tuple[str | int, ...], Reason]


def _faults_of_rack(cutters: tuple[Cutter, ...]) -> list[Fault]:
    keys = [cutter.key for cutter in cutters]
    return [
        (("cutters", i), Reason("duplicate-cutter", f"repeats the key {key}; each cutter is named once"))
        for i, key in enumerate(keys)
        if key in keys[:i]
    ]


def _faults_of_size(job: Job) -> list[Fault]:
    faults: list[Fault] = []
    side_mm = min(job.head.width_mm, job.head.height_mm)
    if 2 * job.placement.margin_mm >= side_mm:
        says = f"leaves nothing of the head: twice {job.placement.margin_mm:g} mm of its {side_mm:g} mm"
        faults.append((("placement", "margin"), Reason("contradiction", says)))
    if job.relief.height_mm is not None and job.relief.height_mm >= job.head.thickness_mm:
        says = f"must be less than the thickness of the head ({job.head.thickness_mm:g} mm)"
        faults.append((("relief", "height"), Reason("contradiction", says)))
    return faults


def _nested(faults: list[Fault]) -> dict[str, Any]:
    tree: dict[str, Any] = {}
    for (first, *rest), reason in faults:
        branch = tree.setdefault(str(first), {})
        branch[rest[0]] = [reason]
    return tree
