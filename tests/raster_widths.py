"""Widths a second way: the face drawn as pixels, and their exact Euclidean distance transform where it is asked for.

That is the distance to the nearest pixel of the other side, which scipy's k-d tree finds; `distance_transform_edt` of
the whole picture gives the same to the last bit, for eight times the time.
"""

import numpy as np
import shapely
from PIL import Image, ImageDraw
from scipy import ndimage
from scipy.spatial import KDTree

PX_PER_MM = 60.0  # a pixel of 0.017 mm
MARGIN_PX = 8


def drawn(ink):
    """The ink as pixels (rows count upwards), and where the first pixel's middle lies [mm]."""
    x0, y0, x1, y1 = ink.bounds
    origin = np.array([x0, y0]) - MARGIN_PX / PX_PER_MM
    size = tuple(int((high - low) * PX_PER_MM) + 2 * MARGIN_PX for low, high in ((x0, x1), (y0, y1)))
    picture = Image.new("1", size)
    pen = ImageDraw.Draw(picture)
    for land in sorted(ink.geoms, key=lambda land: -shapely.box(*land.bounds).area):  # what lies in a hole comes after
        for ring, value in [(land.exterior, 1), *((hole, 0) for hole in land.interiors)]:
            pixels = (shapely.get_coordinates(ring) - origin) * PX_PER_MM
            pen.polygon([tuple(at) for at in pixels.tolist()], fill=value, outline=value)
    return np.asarray(picture), origin


def misses_px(axis, is_rib, ink):
    """How far the radius at each rib's thinnest place is from the distance transform there [pixels]."""
    pixels, origin = drawn(ink)
    out = []
    for side, picture in ((True, pixels), (False, ~pixels)):
        rib = np.flatnonzero(is_rib & (axis.in_ink == side))
        at = np.rint((axis.vertices[axis.low[rib]] - origin) * PX_PER_MM).astype(int)
        inside = ((at >= 0) & (at < np.array(picture.shape)[::-1])).all(axis=1)
        distance = distance_around(picture, at[inside, ::-1])
        out.append(np.abs(distance - axis.low_mm[rib[inside]] * PX_PER_MM))
    return np.concatenate(out)


def distance_around(picture, at):
    """Distance transform at pixels (n, 2): the largest of 3 x 3, for the middle of a wall pair lies between pixels."""
    around = at[:, None] + np.stack(np.meshgrid((-1, 0, 1), (-1, 0, 1)), axis=-1).reshape(-1, 2)
    row, column = np.moveaxis(np.clip(around, 0, np.array(picture.shape) - 1), -1, 0)
    rim = np.argwhere(~picture & ndimage.binary_dilation(picture))
    away, _ = KDTree(rim).query(np.stack([row, column], axis=-1))
    return (away * picture[row, column]).max(axis=1)
