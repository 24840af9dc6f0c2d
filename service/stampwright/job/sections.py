"""The sections of a job that say what is wanted: drawing, head, placement, relief, limits. Each yields its record."""

from __future__ import annotations

import dataclasses
from typing import Any, ClassVar

from marshmallow import Schema, ValidationError, fields, post_load, validate, validates, validates_schema

from .fields import COMMON, Choice, Flag, Length, Number, Reason, Text, WordOrObject, told
from .record import ArtworkChoice, Head, Limits, Placement, Relief

LEAST_BREAK_MM = 0.05  # what a few strokes of a fine file take off; common practice, no source
LEAST_RELIEF_MM = 0.01  # no mill holds less; files that tell six decimals still part face and floor
LARGEST_HEAD_MM = 500.0  # beyond any mill this is meant for; keeps areas and times within what was tested


class Section(Schema):
    """An object of the job: any field may be left out, an unknown one is refused by name."""

    record: ClassVar[type[Any]]

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  handed on as they come
        super().__init__(**options)
        known = ", ".join(field.data_key or name for name, field in self.fields.items())
        self.error_messages = {
            "unknown": Reason("unknown-field", f"is not known here; known are: {known}"),
            "type": Reason("wrong-type", "must be an object"),
        }
        self._publish_defaults()

    def _publish_defaults(self) -> None:
        """Let the contract show the record's own defaults (in mm), so that they are written once."""
        given = {field.name: field.default for field in dataclasses.fields(self.record)}
        for name, field in self.fields.items():
            default = given.get(field.attribute or name)
            if isinstance(default, str | int | float):
                field.metadata = {**field.metadata, "default": default}

    @post_load
    def make(self, data: dict[str, Any], **_: object) -> Any:  # noqa: ANN401  the record of the section
        """Turn checked values into the section's record."""
        return self.record(**data)


def section(schema: type[Schema], says: str, *, nullable: bool = False) -> fields.Nested:
    """A nested section."""
    return fields.Nested(schema, allow_none=nullable, error_messages=COMMON, metadata=told(says))


class JobArtworkSchema(Section):
    """How the drawing is read: what is ink, notices that shall not refuse, chord error [mm], a DXF's unit, its kind."""

    record = ArtworkChoice
    ink = Choice(
        "what prints: dark paint, which light paint over it takes away again; any paint; or light paint",
        "dark",
        "painted",
        "light",
    )
    ignore = fields.List(
        Text("", r"[a-z][a-z0-9-]*", "must be a notice code, such as text-not-outlined"),
        validate=validate.Length(max=50, error=Reason("out-of-range", "may name at most 50 codes")),
        error_messages=COMMON | {"invalid": Reason("wrong-type", "must be a list of notice codes")},
        metadata=told("codes of notices that shall not refuse the drawing"),
    )
    # 0.0005 mm is four steps of the plane's grid; a coarser chord than 0.1 mm shows on wood
    chord = Length(
        "furthest that a flattened curve may lie from the true one, on the face",
        attribute="chord_mm",
        least=0.0005,
        most=0.1,
    )
    unit = Choice("what a DXF is drawn in, whatever it says itself; null: its own word", "mm", "in", nullable=True)
    declared = Choice(
        "what the sender says the drawing is; its content decides, and a notice tells where that is another",
        "svg",
        "pdf",
        "dxf",
        "other",
        nullable=True,
    )

    @post_load
    def make(self, data: dict[str, Any], **_: object) -> ArtworkChoice:
        """Codes are a set: their order and count mean nothing."""
        return ArtworkChoice(**data | {"ignore": frozenset(data.get("ignore", ()))})


class JobHeadSchema(Section):
    """The metal block: a rectangle of width and height, or round with a diameter."""

    record = Head
    shape = Choice("outline of the block", "rectangle", "round")
    width = Length("width of a rectangular head", attribute="width_mm", most=LARGEST_HEAD_MM)
    height = Length("height of a rectangular head", attribute="height_mm", most=LARGEST_HEAD_MM)
    diameter = Length("diameter of a round head, which needs it", attribute="diameter_mm", most=LARGEST_HEAD_MM)
    thickness = Length("thickness of the block; the relief is milled out of it", attribute="thickness_mm", most=150)
    corner_radius = Length(
        "radius of the corners of a rectangular head", attribute="corner_radius_mm", least=0, most=LARGEST_HEAD_MM / 2
    )
    edge_break = Length(
        "chamfer of 45 degrees round the back, as wide as it is high; 0: none, else at least 0.05",
        attribute="edge_break_mm",
        least=0,
        most=10,
    )

    @validates("edge_break")
    def can_be_filed(self, edge_break_mm: float, **_: object) -> None:
        """None, or as much as a file can be held to."""
        if 0 < edge_break_mm < LEAST_BREAK_MM:
            says = f"must be 0 (none) or at least {LEAST_BREAK_MM:g} mm; it is {edge_break_mm:g} mm"
            raise ValidationError(Reason("out-of-range", says))

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def fits_its_shape(self, data: dict[str, Any], original: dict[str, Any], **_: object) -> None:
        """A round head has a diameter and nothing else of a rectangle."""
        if not isinstance(original, dict):
            return
        stray = ("width", "height", "corner_radius") if data.get("shape") == "round" else ("diameter",)
        says = f"does not belong to a {data.get('shape', 'rectangle')} head; leave it out"
        faults: dict[str, list[str | list[Any] | dict[Any, Any]]] = {
            name: [Reason("contradiction", says)] for name in stray if name in original
        }
        if data.get("shape") == "round" and "diameter" not in original:
            faults["diameter"] = [Reason("missing", "is missing; a round head needs it")]
        if faults:
            raise ValidationError(faults)

    @post_load
    def make(self, data: dict[str, Any], **_: object) -> Head:
        """A round head is as wide as it is high, and rounds no corner."""
        if data.get("shape") != "round":
            return _rectangle(data)
        diameter_mm = data.pop("diameter_mm")
        return Head(**data, width_mm=diameter_mm, height_mm=diameter_mm, corner_radius_mm=0.0)


def _rectangle(data: dict[str, Any]) -> Head:
    head = Head(**data)
    roundest_mm = min(head.width_mm, head.height_mm) / 2
    if "corner_radius_mm" not in data:
        return dataclasses.replace(head, corner_radius_mm=min(head.corner_radius_mm, roundest_mm))
    if head.corner_radius_mm > roundest_mm:
        says = f"is more than half the head's shorter side, {roundest_mm:g} mm"
        raise ValidationError({"corner_radius": [Reason("contradiction", says)]})
    return head


class JobFitSchema(Section):
    """The wanted width or height of the ink's box, one of the two."""

    record = dict
    width = Length("width of the ink's box on the face", most=LARGEST_HEAD_MM)
    height = Length("height of the ink's box on the face", most=LARGEST_HEAD_MM)

    def _publish_defaults(self) -> None:
        """There are none."""

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def names_one_measure(self, _data: object, original: dict[str, Any], **_: object) -> None:
        """Width follows from height and the other way round."""
        if len({"width", "height"} & set(original)) != 1:
            raise ValidationError(Reason("contradiction", "must have either width or height, not both"))


def _fit_word(word: str) -> dict[str, str]:
    if word not in {"contain", "actual_size"}:
        raise ValidationError(Reason("not-offered", 'must be contain, actual_size, or an object such as {"width": 30}'))
    return {"fit": word}


class JobPlacementSchema(Section):
    """Where the ink comes to lie on the head."""

    record = Placement
    fit = WordOrObject(
        JobFitSchema,
        "contain: as large as the head takes within its margin; actual_size: as drawn; or a width or height",
        read=_fit_word,
        words=("contain", "actual_size"),
    )
    margin = Length(
        "ground kept free along the edge of the head", attribute="margin_mm", least=0, most=LARGEST_HEAD_MM / 2
    )
    turn_deg = Number("turn of the print, counterclockwise", least=-360, most=360, unit="degrees")
    reverse = Flag("whether the face is the mirror image of the mark, so that it prints the right way round")

    @post_load
    def make(self, data: dict[str, Any], **_: object) -> Placement:
        """A measure of the ink's box means the fit "sized"."""
        fit = data.pop("fit", {"fit": "contain"})
        if "fit" not in fit:
            fit = {"fit": "sized"} | {f"{side}_mm": measure for side, measure in fit.items()}
        return Placement(**data, **fit)


class JobReliefSchema(Section):
    """Height of the lands (left out: chosen from the substrate), slope of their walls, whether thin lands are grown."""

    record = Relief
    height = Length(
        "height of the lands above the floor; null: chosen from the substrate",
        attribute="height_mm",
        least=LEAST_RELIEF_MM,
        most=50,
        allow_none=True,
    )
    draft_deg = Number(
        "slope of the walls from the vertical, to a wider foot; the cutting plan mills upright ones, and says so",
        least=0,
        most=45,
        unit="degrees",
    )
    thicken = Flag("whether lands below the least width grow to it where the gaps beside them allow")


class JobLimitsSchema(Section):
    """Least land and gap, the edge move that counts as faithful, the share of the outline that must be."""

    record = Limits
    land = Length("least width of a land", attribute="land_mm", most=50)
    gap = Length("least width of a gap", attribute="gap_mm", most=50)
    deviation = Length(
        "furthest that the printed edge may lie from the drawn one and count as faithful",
        attribute="deviation_mm",
        most=10,
    )
    faithful = Number("least share of the outline that must be faithful", most=1)
