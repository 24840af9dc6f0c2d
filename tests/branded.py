"""A plain block with a square land, as the stage of heat and use takes it."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import shapely
from scipy.integrate import solve_ivp

from stampwright.catalogue import METALS, SUBSTRATES
from stampwright.heat import plan_use
from stampwright.heat.body import Body
from stampwright.job import Head, Job, ThreadChoice, UseChoice
from stampwright.layout import Face
from stampwright.solid import Solid, plan_hole

SIGMA = 5.670374e-8  # CODATA 2018
BRASS = METALS["brass-c36000"]

# The block of the worked figures: 25 x 25 x 19 mm of brass; 11 875 mm³, 0.10082 kg, 3150 mm², 38.31 J/K.
WORKED = Body(
    mass_kg=0.10082,
    specific_heat_j_kgk=380.0,
    surface_m2=3.15e-3,
    volume_m3=1.1875e-5,
    conductivity_w_mk=115.0,
    emissivity=0.6,
)


def lossless(body: Body, *, film_w_m2k: float = 0.0) -> Body:
    """The same block without radiation, and with a film of that size."""
    return dataclasses.replace(body, emissivity=0.0, film_w_m2k=film_w_m2k)


def solved(body, power_w, from_c, *, until_c=math.inf, after_s=1e5):
    """Independent: m c dT/dt = P − h A (T − 20) − ε σ A (T⁴ − 293.15⁴), stepped by scipy. Last time and temperature."""

    def rate(_, t):
        radiated = body.emissivity * SIGMA * body.surface_m2 * ((t[0] + 273.15) ** 4 - 293.15**4)
        return [(power_w - body.film_w_m2k * body.surface_m2 * (t[0] - 20) - radiated) / body.capacity_j_k]

    def there(_, t):
        return t[0] - min(until_c, 1e4)

    there.terminal = True
    path = solve_ivp(rate, (0, after_s), [from_c], method="DOP853", events=there, rtol=1e-9, atol=1e-9)
    return float(path.t[-1]), float(path.y[0, -1])


def block(head: Head, *, metal: str) -> Solid:
    """A plain block of that metal with the usual threaded hole, whose volume and walls are left out of account."""
    width, height, thickness = head.width_mm, head.height_mm, head.thickness_mm
    volume_mm3 = width * height * thickness
    return Solid(
        kind="as_drawn",
        vertices=np.zeros((0, 3)),
        triangles=np.zeros((0, 3), np.int32),
        volume_mm3=volume_mm3,
        surface_mm2=2 * (width * height + width * thickness + height * thickness),
        mass_g=volume_mm3 * METALS[metal].density_kg_m3 / 1e6,
        bounds_mm=((-width / 2, -height / 2, -thickness), (width / 2, height / 2, 0.0)),
        watertight=True,
        hole=plan_hole(ThreadChoice(), head=head, relief_mm=1.5),
    )


def used(
    *,
    metal: str = "brass-c36000",
    substrate: str = "oak-white",
    land_mm: float = 20.0,
    head: Head | None = None,
    with_hole: bool = True,
    **use: object,
):
    """The use sheet of a block with a square land of `land_mm`; the rest goes into the job's `use`."""
    head = head or Head()
    land = shapely.MultiPolygon([shapely.box(-land_mm / 2, -land_mm / 2, land_mm / 2, land_mm / 2)])
    outline = shapely.box(-head.width_mm / 2, -head.height_mm / 2, head.width_mm / 2, head.height_mm / 2)
    face = Face(land, outline, relief_mm=1.5, scale=1.0, reversed=True, mirror_symmetric=True)
    thread = ThreadChoice() if with_hole else None
    job = Job(head=head, metal=metal, substrate=substrate, thread=thread, use=UseChoice(**use))
    solid = block(head, metal=metal)
    solid = solid if with_hole else dataclasses.replace(solid, hole=None)
    return plan_use(face, solid, job, metal=METALS[metal], substrate=SUBSTRATES[substrate])
