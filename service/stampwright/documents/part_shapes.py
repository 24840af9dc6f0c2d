"""The parts of a stamp that describe what will be made: mark, face, solid, review."""

from __future__ import annotations

from typing import get_args

from stampwright.base import Severity
from stampwright.thickening import Outcome

from .shapes import AnswerSchema, box, flag, length, number, part, parts, table, text, tuple_of, whole


class NoticeSchema(AnswerSchema):
    """One thing of the drawing: changed, not printed, or asked about. Coordinates are those of the mark as drawn."""

    code = text("stable name of the notice")
    element = text("path of the element in the document", nullable=True)
    count = whole("how many places this notice stands for")
    bounds_mm = tuple_of(4, "box [x0, y0, x1, y1] on the page, y down", nullable=True)
    ink_share = number("share of the ink decided by it, 0 to 1", nullable=True)
    says = text("what happened, in a sentence")
    remedy = text("what to do about it, in a sentence")


class MarkSchema(AnswerSchema):
    """The customer's drawing as it was read: true size, y down from the page's top left corner."""

    source = text("format of the drawing", one_of=["svg", "pdf", "dxf"])
    page_mm = tuple_of(2, "width and height of the page")
    ink_bounds_mm = tuple_of(4, "box of the ink as drawn [x0, y0, x1, y1]")
    ink_area_mm2 = number("area of the ink as drawn")
    lands = whole("connected pieces of ink")
    counters = whole("pieces of ground wholly enclosed by ink")
    mirror_symmetric = flag("the mark equals its own mirror image, so that reversing cannot be seen")
    repaired = parts(NoticeSchema, "what was changed in the drawing")
    left_out = parts(NoticeSchema, "what will not print: read this first")
    hints = parts(NoticeSchema, "what was read exactly and is perhaps not meant: questions for the customer")


class FaceSchema(AnswerSchema):
    """The ink laid out on the head, as the cutter meets it: origin at the centre, x right, y up."""

    width_mm = length("width of the ink's box on the face")
    height_mm = length("height of the ink's box on the face")
    scale = number("millimetres on the face for each millimetre as drawn")
    ink_area_mm2 = number("area of the lands' tops")
    coverage = number("ink as a share of the head's outline, 0 to 1")
    land_min_mm = length("least width of any land", nullable=True)
    gap_min_mm = length("least width of any gap", nullable=True)
    relief_mm = length("height of the lands above the floor")
    reversed = flag("the face is the mirror image of the mark, so that it prints the right way round")
    head_bounds_mm = tuple_of(4, "box of the head [x0, y0, x1, y1]")
    head_area_mm2 = number("area of the head's outline")


class GrownPlaceSchema(AnswerSchema):
    """One thin stretch of land, before and after growing."""

    at_mm = tuple_of(2, "its thinnest place as drawn, in face coordinates as cut")
    before_mm = length("least width as drawn")
    after_mm = length("least width along it after growing, measured again")
    length_mm = length("length of the stretch that was too thin; 0 for a dot")
    added_mm2 = number("area added along its walls")
    still_thin_mm = length("length of it that stays too thin")
    gap_forbade = flag("the ground beside it, or the margin, could not spare the full width")
    says = text("the same in a sentence")


class GrowthSchema(AnswerSchema):
    """What growing thin lands did; every other part of the answer is of the grown face."""

    outcome = text("what came of it", one_of=get_args(Outcome))
    land_mm = length("width that lands were grown to")
    gap_mm = length("gap that was kept: the least gap, and what the finest cutter needs")
    added_mm2 = number("area added in all")
    places = parts(GrownPlaceSchema, "what grew or could not, the thinnest first")
    letters_left = whole("lands left alone: lettering, or dots, below a third of the width")
    says = text("the same in a sentence or two")


class SolidSchema(AnswerSchema):
    """The head as one closed mesh."""

    kind = text("lands as drawn, or with what the cutters leave", one_of=["as_drawn", "as_cut"])
    triangles = whole("triangles of the mesh")
    volume_mm3 = number("volume")
    surface_mm2 = number("surface")
    mass_g = number("mass")
    bounds_mm = box("lowest and highest corner [[x, y, z], [x, y, z]]")
    watertight = flag("each edge is shared by exactly two triangles, in opposite directions")


class MendSchema(AnswerSchema):
    """Changes of the job that mend a finding, each alone; null or false: that change would not, or cannot be told."""

    mark_width_mm = length("a mark at least so wide on the face", nullable=True)
    relief_mm = length("this relief", nullable=True)
    thickness_mm = length("a head at least so thick", nullable=True)
    cutter = text("a cutter of the catalogue that joins the rack", nullable=True)
    metal = text("another metal", nullable=True)
    thicken = flag("thin lands grown, where the gaps allow")
    reverse = flag("the face reversed")


class FindingSchema(AnswerSchema):
    """One place where the iron will disappoint, measured."""

    code = text("stable name of the finding, explained in the README")
    severity = text("how much it matters", one_of=get_args(Severity))
    at_mm = tuple_of(2, "the place, in face coordinates as cut", nullable=True)
    measured_mm = length("what was measured", nullable=True)
    limit_mm = length("what it is held against", nullable=True)
    length_mm = length("over what length", nullable=True)
    area_mm2 = number("over what area", nullable=True)
    angle_deg = number("angle of the tip or corner", nullable=True)
    says = text("what is wrong, in a sentence with its numbers")
    remedy = text("what would mend it, in a sentence")
    would_mend = part(MendSchema, "the same as changes of the job, each alone")


class CornerSchema(AnswerSchema):
    """An inside corner that a round cutter leaves round."""

    at_mm = tuple_of(2, "the corner, in face coordinates as cut")
    angle_deg = number("angle of the ground between the two walls")
    radius_mm = length("radius of the cutter there")
    residual_mm = length("how far the printed edge stands out from the drawn corner")
    uncut_area_mm2 = number("ground left standing in the corner")


class ShutSchema(AnswerSchema):
    """A gap or counter that a cutter does not enter at full depth."""

    at_mm = tuple_of(2, "where the gap is narrowest, or the counter widest, in face coordinates as cut")
    is_counter = flag("a counter, wholly enclosed by one land")
    width_mm = length("how wide it is there")
    depth_mm = length("how deep a pointed cutter can groove it there, rising; 0 of any other cutter")
    uncut_area_mm2 = number("ground left standing at full depth")


class CutterReachSchema(AnswerSchema):
    """What one cutter of the rack reaches, alone."""

    cutter = text("key of the cutter")
    reaches_area_mm2 = number("floor it clears")
    uncut_area_mm2 = number("closing of the ink by the cutter's disc, less the ink")
    filled_counters = whole("counters it cannot enter")
    closed_gaps = whole("gaps it cannot pass")
    corners = parts(CornerSchema, "the corners it rounds, at full depth")
    shut = parts(ShutSchema, "those gaps and counters, the largest uncut area first")
    worst_residual_mm = length("the worst residual of its corners")
    faithful_share = number("share of the outline that lies within the allowed deviation, 0 to 1")
    face_radius_mm = length("radius of the cutter at the height of the lands, where it decides what prints")
    floor_radius_mm = length("radius of the cutter at its lowest point")
    full_depth_area_mm2 = number("floor cleared to full depth: a ball or a cone leaves a foot beside the lands")
    reaches_floor = flag("the cutter's length of cut is at least the relief")


class WidthBinSchema(AnswerSchema):
    """How much of the mark is so wide."""

    from_mm = length("from this width")
    to_mm = length("to this width; null: all wider ones", nullable=True)
    length_mm = length("length of the middle line of what is so wide")


class ReviewSchema(AnswerSchema):
    """What will disappoint, where, by how much, with which cutter."""

    findings = parts(FindingSchema, "all findings, worst first")
    cutters = parts(CutterReachSchema, "the rack's cutters, each alone, in the rack's order")
    least_faithful_width_mm = length(
        "from this mark width upward the verdict is ready with these cutters", nullable=True
    )
    land_widths = parts(WidthBinSchema, "lands by their width, from 0 upward, empty bins included")
    gap_widths = parts(WidthBinSchema, "gaps by their width, likewise")
    findings_left_out = table(whole("how many"), "findings beyond the listed ones, counted by code")
