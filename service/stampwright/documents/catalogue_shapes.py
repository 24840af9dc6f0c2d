"""What the catalogues answer: one object a row, each value with its source."""

from __future__ import annotations

from typing import get_args

from stampwright.catalogue import Kind, Shape

from .shapes import AnswerSchema, length, number, text, whole


class CutterSchema(AnswerSchema):
    """A milling tool."""

    key = text("name to use in a job")
    shape = text("form of the tip", one_of=get_args(Shape))
    diameter_mm = length("diameter that cuts; of a pointed cutter the widest")
    flutes = whole("number of cutting edges")
    length_of_cut_mm = length("length of the edges: no relief may be higher")
    shank_mm = length("diameter of the shank")
    overhang_mm = length("how far the cutter stands out of its holder")
    tip_mm = length("width of the flat tip of a pointed cutter, else 0")
    half_angle_deg = number("half the included angle of a pointed cutter, else 0")
    source = text("where these values are from")


class MetalSchema(AnswerSchema):
    """What a head can be made of."""

    key = text("name to use in a job")
    name = text("name in the trade")
    density_kg_m3 = number("density")
    specific_heat_j_kgk = number("specific heat at working temperature")
    conductivity_w_mk = number("thermal conductivity")
    expansion_um_mk = number("linear expansion [µm per m and K]")
    emissivity_used = number("emissivity of a head that has been heated a few times")
    melting_from_c = number("begin of melting")
    not_above_c = number("face temperature never to exceed: annealing, temper or zinc fume")
    kc11_n_mm2 = number("specific cutting force at 1 mm chip thickness")
    mc = number("exponent of the specific cutting force")
    cutting_speed_low_m_min = number("low end of the cutting speed, carbide")
    cutting_speed_high_m_min = number("high end of the cutting speed, carbide")
    chip_share = number("wanted greatest chip thickness as a share of the cutter's diameter")
    source = text("where these values are from")


class SubstrateSchema(AnswerSchema):
    """What can be branded."""

    key = text("name to use in a job")
    name = text("name in the trade")
    kind = text("family", one_of=get_args(Kind))
    janka_n = number("side hardness by Janka", nullable=True)
    conductivity_w_mk = number("thermal conductivity across the grain")
    diffusivity_mm2_s = number("thermal diffusivity")
    effusivity_w_sqrts_m2k = number("thermal effusivity")
    face_low_c = number("low end of the face temperature")
    face_high_c = number("high end of the face temperature")
    dwell_low_s = number("shortest dwell")
    dwell_high_s = number("longest dwell")
    char_c = number("temperature whose front is taken as the edge of the print")
    crush_mpa = number("proportional limit in compression across the grain", nullable=True)
    press_low_mpa = number("low end of the pressure on the land")
    press_high_mpa = number("high end of the pressure on the land")
    relief_low_mm = length("least relief")
    relief_high_mm = length("greatest relief that is of use")
    land_warn_mm = length("lands narrower than this print unsurely")
    gap_warn_mm = length("gaps narrower than this char shut")
    source = text("where these values are from")


class ThreadSchema(AnswerSchema):
    """A screw thread for the hole in the back, with its tapping drill."""

    size = text("name to use in a job")
    standard = text("the standard that defines it")
    major_mm = length("major diameter")
    pitch_mm = length("pitch")
    drill_mm = length("diameter of the tapping drill")
    drill_name = text("the drill as shops name it")
    internal_minor_mm = length("minor diameter of the internal thread, D − 1.082532 P")
    pitch_diameter_mm = length("pitch diameter, D − 0.649519 P")
    percent_of_thread = number("share of a full thread that the drill leaves [%]")
    source = text("where these values are from")
