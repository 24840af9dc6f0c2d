"""The sections of a job that say what the workshop has: thread, cutters, machine, rod and torch, rates."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, validates_schema

from stampwright.catalogue import TAPS, THREADS, Cutter, tap_named, thread_named

from .fields import Choice, Length, Name, Number, Reason, Text, Whole
from .record import Machine, Rates, Rod, ThreadChoice, UseChoice
from .sections import Section, section

MOST_FEED = 100_000.0  # mm/min
WORD = r"[A-Za-z0-9][A-Za-z0-9._-]*"


class JobThreadSchema(Section):
    """Thread and tap of the hole in the back."""

    record = ThreadChoice
    size = Name("the thread, by its key in the catalogue", thread_named, words=THREADS)
    tap = Name(
        "the tap that finishes it: the shorter its chamfer, the deeper goes the full thread", tap_named, words=TAPS
    )


class JobCutterSchema(Section):
    """A milling cutter that is not in the catalogue."""

    record = Cutter
    key = Text("its name in the answer", WORD, "must be letters, digits, points and hyphens", required=True)
    shape = Choice("form of the tip", "flat", "ball", "pointed", required=True)
    diameter = Length(
        "diameter that cuts; of a pointed cutter the widest", attribute="diameter_mm", most=50, required=True
    )
    flutes = Whole("number of cutting edges", least=1, most=12, required=True)
    length_of_cut = Length(
        "length of the edges: no relief may be higher", attribute="length_of_cut_mm", most=200, required=True
    )
    shank = Length("diameter of the shank", attribute="shank_mm", most=50, required=True)
    overhang = Length("how far it stands out of its holder", attribute="overhang_mm", most=300, required=True)
    tip = Length("width of the flat tip of a pointed cutter", attribute="tip_mm", least=0, most=50)
    half_angle_deg = Number(
        "half the included angle of a pointed cutter, which needs it", least=0, most=85, unit="degrees"
    )

    @validates_schema
    def is_a_cutter(self, data: dict[str, Any], **_: object) -> None:
        """Only a pointed cutter has a tip and an angle, and it cannot do without the angle."""
        faults = dict(_faults_of_form(data))
        if data["overhang_mm"] < data["length_of_cut_mm"]:
            faults["overhang"] = Reason("contradiction", "is less than length_of_cut: the edges would be in the holder")
        if faults:
            raise ValidationError({name: [reason] for name, reason in faults.items()})


def _faults_of_form(data: dict[str, Any]) -> list[tuple[str, Reason]]:
    tip_mm, half_angle_deg = data.get("tip_mm", 0.0), data.get("half_angle_deg", 0.0)
    if data["shape"] != "pointed":
        stray = Reason("contradiction", f"does not belong to a {data['shape']} cutter; leave it out")
        return [(name, stray) for name, value in (("tip", tip_mm), ("half_angle_deg", half_angle_deg)) if value]
    faults = []
    if not half_angle_deg:
        faults.append(
            ("half_angle_deg", Reason("missing", "is missing; a pointed cutter needs it, more than 0 degrees"))
        )
    if tip_mm >= data["diameter_mm"]:
        faults.append(("tip", Reason("contradiction", f"must be less than the diameter ({data['diameter_mm']:g} mm)")))
    return faults


class JobMachineSchema(Section):
    """What the mill bears; feeds per minute are in the job's unit."""

    record = Machine
    max_rpm = Number("highest speed of the spindle", least=1.0, most=200_000, unit="rpm")
    max_feed = Length("fastest feed in the cut", attribute="max_feed_mm_per_min", most=MOST_FEED, unit="mm/min")
    # below a millimetre a second no axis is driven, and a plan would last for days
    rapid = Length(
        "speed of the ways above the face", attribute="rapid_mm_per_min", least=60, most=MOST_FEED, unit="mm/min"
    )
    lift_rate = Length(
        "speed of lifting and lowering", attribute="lift_mm_per_min", least=10, most=MOST_FEED, unit="mm/min"
    )
    spindle_power_w = Number("power of the spindle", most=100_000, unit="W")
    max_force_n = Number("force at the cutter that the machine bears", most=100_000, unit="N")
    runout = Length("how far the tip of a cutter runs out of true", attribute="runout_mm", least=0, most=1)
    tool_change_min = Number("time to change a tool and touch it off", least=0, most=120, unit="min")


class JobRodSchema(Section):
    """The rod between head and handle; measures left out are chosen."""

    record = Rod
    material = Text("its metal, by the key in the catalogue", WORD, "must be a name such as steel-1018")
    diameter = Length("its diameter; null: chosen", attribute="diameter_mm", most=50, allow_none=True)
    bare_length = Length(
        "its length between head and handle; null: what keeps the grip cool enough",
        attribute="bare_length_mm",
        most=2000,
        allow_none=True,
    )


class JobUseSchema(Section):
    """How the iron will be heated and held."""

    record = UseChoice
    torch_w = Number(
        "power of the flame; null: a hand torch of 150 g/h propane", most=50_000, unit="W", allow_none=True
    )
    torch_share = Number("share of the flame's power that goes into the head", most=1)
    rod = section(JobRodSchema, "the rod between head and handle")
    handling_s = Number("time from the flame, or from one print, to the next print", least=0, most=3600, unit="s")


class JobRatesSchema(Section):
    """What the shop charges; only if a price is wanted."""

    record = Rates
    currency = Text("currency of the amounts, by ISO 4217", r"[A-Z]{3}", "must be three capitals, such as EUR")
    per_hour = Number("an hour of work, by the plan's minutes", least=0, most=1e6)
    setup = Number("the set-up, once for each iron", least=0, most=1e6)
    metal_per_kg = Number("a kilogram of metal, by the sawn block", least=0, most=1e6)
