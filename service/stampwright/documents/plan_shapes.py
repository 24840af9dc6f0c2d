"""The parts of a stamp that describe the work: cutting plan, heat and use, price."""

from __future__ import annotations

from typing import get_args

from stampwright.cutting import OperationKind

from .shapes import AnswerSchema, length, number, part, parts, table, text, texts, tuple_of, whole


class CautionSchema(AnswerSchema):
    """A danger of the work, with where it is from."""

    code = text("stable name of the caution")
    says = text("the caution, in a sentence")
    source = text("where it is from")


class OriginSchema(AnswerSchema):
    """Where a number of the plan is from."""

    quantity = text("place of the number in the plan")
    says = text("the rule by which it is worked out")
    source = text("whose rule it is")


class OperationSchema(AnswerSchema):
    """One operation with one tool. Forces are estimates: see the plan's `load_band`."""

    step = whole("place in the order of work, from 1")
    kind = text("what is done", one_of=get_args(OperationKind))
    side = text("which side of the block faces the spindle", one_of=["face", "back"])
    cutter = text("key of the cutter, or name of the drill or tap")
    spindle_rpm = number("spindle speed")
    feed_mm_per_min = number("feed")
    feed_per_tooth_mm = number("feed for each cutting edge", nullable=True)
    radial_engagement_mm = number("width of cut", nullable=True)
    axial_depth_mm = number("depth of cut of one pass", nullable=True)
    passes = whole("passes to full depth")
    stock_to_leave_mm = number("metal left on the walls for a later operation")
    cleared_area_mm2 = number("floor that is newly opened; a floor pass levels what roughing opened, and opens none")
    removed_mm3 = number("metal taken off")
    path_mm = number("length of the cutter's path", nullable=True)
    time_min = number("time, tool change not included")
    power_w = number("power at the cutter", nullable=True)
    force_n = number("force at the cutter", nullable=True)
    deflection_mm = number("how far the cutter bends", nullable=True)
    torque_nmm = number("torque at the spindle", nullable=True)
    stress_mpa = number("bending stress at the root of the flutes", nullable=True)
    chip_mm = number("thickest chip; below 0.003 mm an edge rubs instead of cutting", nullable=True)
    why = text("the reason for this step, in a sentence")


class BlankSchema(AnswerSchema):
    """The block before the first chip, and how it is held."""

    saw_width_mm = length("width to saw")
    saw_height_mm = length("height to saw")
    saw_thickness_mm = length("thickness to saw")
    allowance_mm = length("allowance within these measures")
    mass_g = number("mass of the sawn block")
    holding = text("how it is held")
    zero = text("where the coordinates begin")
    checklist = texts("the order of work")


class ThreadPlanSchema(AnswerSchema):
    """The hole in the back: what to drill, how deep, how far to tap."""

    size = text("the thread")
    tap = text("the tap")
    drill_mm = length("diameter of the tapping drill")
    drill_name = text("the drill as shops name it")
    percent_of_thread = number("share of a full thread [%]")
    drilled_mm = length("depth to the shoulder of the drill point")
    full_thread_mm = length("depth of full thread")
    engagement_diameters = number("full thread in diameters")
    point_mm = length("length of the drill point's cone")
    wall_mm = length("metal left between the point and the floor")
    internal_minor_mm = length("minor diameter of the internal thread")
    pitch_mm = length("pitch")


class PlanSchema(AnswerSchema):
    """Which cutters in which order, and every number a machinist asks for."""

    operations = parts(OperationSchema, "all operations, in order")
    total_min = number("all times and tool changes together")
    left_uncut_mm2 = number("floor that no operation reaches")
    cutters = texts("cutters chosen, in the order of use")
    passed_over = table(text("the reason"), "cutters of the rack that stay in the drawer, and why")
    blank = part(BlankSchema, "the block before the first chip")
    thread = part(ThreadPlanSchema, "the hole in the back; null when the job asks for none", nullable=True)
    cautions = parts(CautionSchema, "dangers of the cutting")
    origins = parts(OriginSchema, "where each number of the plan is from")
    load_band = tuple_of(2, "power, force, torque, bend and stress may be so many times the figures told")
    fails_at_step = whole("step up to which the plan holds, when the mark cannot be made", nullable=True)
    fails_because = text("why it fails there, and what to do", nullable=True)


class RodSchema(AnswerSchema):
    """The rod between head and handle."""

    material = text("key of the metal")
    diameter_mm = length("diameter")
    bare_length_mm = length("bare length that keeps the grip below the touch limit")
    touch_limit_c = number("highest temperature the grip may have")
    grip_c = number("temperature expected at the grip")
    engagement_mm = length("thread engaged in the head", nullable=True)
    handle_bore_mm = tuple_of(2, "bore of the wooden handle: for the rod's thread cut into it, or for a rod glued in")
    handle_depth_mm = length("depth of that bore")
    says = text("the reason, in a sentence")


class UseSchema(AnswerSchema):
    """From the cold head to the print. Every figure is a planning estimate; ranges are [low, high]."""

    heat_up_s = number("time to heat the head")
    heat_up_range_s = tuple_of(2, "range of that time: flames differ")
    face_target_c = tuple_of(2, "temperature of the face")
    energy_j = number("heat the flame brings into the head until it is hot, what it loses meanwhile included")
    biot = number("Biot number of the heating head: far below 0.1, it warms as a whole")
    prints_per_heat = whole("prints before it goes back into the flame")
    dwell_s = tuple_of(2, "how long to press")
    press_force_n = tuple_of(2, "how hard to press")
    char_depth_mm = length("depth of the charred layer")
    char_spread_mm = tuple_of(2, "how far the char spreads sideways at each edge")
    rod = part(RodSchema, "the rod between head and handle")
    steps = texts("the order of work")
    cautions = parts(CautionSchema, "dangers of the use")


class PriceItemSchema(AnswerSchema):
    """One line of the quote."""

    says = text("what is charged")
    amount = number("in the quote's currency")


class PriceSchema(AnswerSchema):
    """The quote."""

    currency = text("currency, as the job names it")
    items = parts(PriceItemSchema, "the items, each rounded to the cent first")
    total = number("their sum")
