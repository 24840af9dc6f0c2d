"""Heat and use of one iron: from metal, substrate, torch and rod to times, temperatures, forces and cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .body import Body
from .cautions import cautions_for
from .pressing import Rhythm, char_depth_mm, char_spread_mm, press_force_n, prints_per_heat
from .rod import plan_rod
from .steps import Heating, Printing, steps_for
from .target import face_target_c
from .torch import SHARE_BAND, torch_w
from .use import UseSheet

if TYPE_CHECKING:
    from stampwright.catalogue import Metal, Substrate
    from stampwright.job import Job, UseChoice
    from stampwright.layout import Face
    from stampwright.solid import Solid

    from .use import Range


def plan_use(face: Face, solid: Solid, job: Job, *, metal: Metal, substrate: Substrate) -> UseSheet:
    """Plan the use of `solid`, whose lands are `face.ink`. Every figure is a planning estimate.

    The whole surface of the solid loses heat, and the rod's share is left out: it adds some 5 to 13 % to the heat-up,
    well inside the range given. Raises `JobError` for a torch that is too weak or a rod of unknown material.
    """
    body = body_of(solid, metal)
    target_c = face_target_c(metal, substrate)
    heating = _heating(body, job.use, target_c=target_c)
    land_mm2 = float(face.ink.area)
    dwell_s = (substrate.dwell_low_s, substrate.dwell_high_s)
    middle_s = sum(dwell_s) / 2
    rhythm = Rhythm(job.use.handling_s, middle_s)
    prints = prints_per_heat(body, substrate, window_c=target_c, rhythm=rhythm, land_mm2=land_mm2)
    depth_mm = char_depth_mm(metal, substrate, face_c=sum(target_c) / 2, dwell_s=middle_s)
    printing = Printing(dwell_s, press_force_n(substrate, land_mm2=land_mm2), prints, job.use.handling_s)
    rod = plan_rod(job.use.rod, thread=job.thread, hole=solid.hole, hot_c=target_c[1])
    heat_up_s = body.heat_up_s(heating.power_w, to_c=target_c[1])
    return UseSheet(
        heat_up_s=heat_up_s,
        heat_up_range_s=heating.range_s,
        face_target_c=target_c,
        energy_j=heating.power_w * heat_up_s,
        biot=body.biot,
        prints_per_heat=prints,
        dwell_s=dwell_s,
        press_force_n=printing.force_n,
        char_depth_mm=depth_mm,
        char_spread_mm=char_spread_mm(depth_mm),
        rod=rod,
        steps=steps_for(job.head, metal=metal, rod=rod, heating=heating, printing=printing),
        cautions=cautions_for(metal, substrate),
    )


def body_of(solid: Solid, metal: Metal) -> Body:
    """The head as a lump of its metal."""
    return Body(
        mass_kg=solid.mass_g / 1e3,
        specific_heat_j_kgk=metal.specific_heat_j_kgk,
        surface_m2=solid.surface_mm2 / 1e6,
        volume_m3=solid.volume_mm3 / 1e9,
        conductivity_w_mk=metal.conductivity_w_mk,
        emissivity=metal.emissivity_used,
    )


def _heating(body: Body, asked: UseChoice, *, target_c: Range) -> Heating:
    high_c = target_c[1]
    flame_w = torch_w(asked.torch_w, share=asked.torch_share, loss_w=body.loss_w(high_c))
    least, most = (min(asked.torch_share * factor, 1.0) for factor in SHARE_BAND)
    range_s = (body.heat_up_s(flame_w * most, to_c=high_c), body.heat_up_s(flame_w * least, to_c=high_c))
    return Heating(flame_w, flame_w * asked.torch_share, range_s, target_c)
