"""Fills that lie side by side: told apart in grey and by colour-blind eyes, reckoned as the literature has it.

Eyes: Viénot, Brettel and Mollon, "Digital video colourmaps for checking the legibility of displays by dichromats",
Color Research and Application 24 (1999). Difference: CIE 1976 L*a*b*, where about 2.3 is just noticed (Mahy and others,
1994); three times that is asked. sRGB by IEC 61966-2-1.
"""

import itertools

import numpy as np
import pytest

from stampwright.drawings import board, cutting_view, proof, svg, toolpaths
from stampwright.drawings.hatch import DOT_MM, LINE_MM

ASKED = 7.0
TO_LMS = np.array(
    [[17.8824, 43.5161, 4.11935], [3.45565, 27.1554, 3.86714], [0.0299566, 0.184309, 1.46709]]
)  # from RGB of a screen
TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
WHITE = TO_XYZ.sum(axis=1)
RED_BLIND = np.array([[0, 2.02344, -2.52581], [0, 1, 0], [0, 0, 1]])
GREEN_BLIND = np.array([[1, 0, 0], [0.494207, 0, 1.24827], [0, 0, 1]])
EYES = {
    "usual": np.eye(3),
    "protanopia": np.linalg.inv(TO_LMS) @ RED_BLIND @ TO_LMS,
    "deuteranopia": np.linalg.inv(TO_LMS) @ GREEN_BLIND @ TO_LMS,
    "grey": np.ones((3, 1)) @ TO_XYZ[1:2],
}


def light(code):
    values = np.array(list(bytes.fromhex(code.removeprefix("#")))) / 255
    return np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)


def hatched(hatch):
    """What the eye makes of a hatch from afar: tint and strokes by their shares."""
    if not hatch.pitch_mm:
        return light(hatch.tint)
    dots = np.pi * (DOT_MM / 2) ** 2 / hatch.pitch_mm**2
    share = dots if hatch.is_dotted else LINE_MM / hatch.pitch_mm
    return (1 - share) * light(hatch.tint) + share * light(cutting_view.LINE)


def lab(colour):
    x, y, z = np.cbrt(TO_XYZ @ np.clip(colour, 0, 1) / WHITE)  # all of ours are lighter than the linear part
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


CUTTING = {f"step {place}": hatched(hatch) for place, hatch in enumerate(cutting_view.HATCHES, start=1)}
CUTTING |= {"lands": light(cutting_view.LAND), "stays": light(cutting_view.LEFT)}
WAYS = {str(place): light(line) for place, line in enumerate((*toolpaths.LINES, toolpaths.FACING, svg.PAPER))}
FACE = {name: light(getattr(proof, name)) for name in ("BRASS", "LAND", "GROWN", "LEFT")}
PRINTS = [
    {"ground": light(ground)} | {name: light(getattr(board, name)) for name in ("CHAR", "GROWN", "UNDRAWN")}
    for ground in board.GROUND.values()
]


@pytest.mark.parametrize("eye", EYES)
@pytest.mark.parametrize("fills", [CUTTING, WAYS, FACE, *PRINTS], ids=["cutting", "ways", "face", *board.GROUND])
def test_no_two_fills_of_a_drawing_are_taken_for_one_another(fills, eye):
    seen = {name: lab(EYES[eye] @ colour) for name, colour in fills.items()}
    near = [pair for pair in itertools.combinations(seen, 2) if np.linalg.norm(seen[pair[0]] - seen[pair[1]]) < ASKED]
    assert near == []
