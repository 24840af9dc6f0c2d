"""Colour spaces to luma: how light a colour of each is on paper (ISO 32000-1, 8.6)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import pikepdf

from stampwright.artwork.paint import HALF, luma

from .functions import function_of
from .objects import Named, entry, items, name, numbers, unpacked, whole

if TYPE_CHECKING:
    from collections.abc import Callable

_MOST_NESTED = 6
_NEAR_INK = 0.1  # of luma from one half: pdfium's printing inks were found to part from this mixture by 0.096 at most
_NEAR_PROFILE = 0.05  # a profile is not applied; that of a usual screen moves luma by less

# Luma of the sixteen solid overprints of cyan, magenta, yellow, black, as bits from the first to the last: read off
# what pdfium draws of them (pypdfium2 5.15.2), 2026-11
_WITHOUT_CYAN = (1.0, 0.125, 0.889, 0.094, 0.243, 0.018, 0.290, 0.019)
_OVERPRINTS = (*_WITHOUT_CYAN, 0.556, 0.021, 0.485, 0.011, 0.214, 0.0, 0.210, 0.0)


class Tone(NamedTuple):
    """What a paint comes to: its luma (None: it paints nothing) and the code that says why it is in doubt."""

    luma: float | None
    doubt: str = ""
    what: str = ""


@dataclass(frozen=True, slots=True)
class Space:
    """A colour space: the components it begins with, and the tone that components come to."""

    initial: tuple[float, ...]
    tone: Callable[[list[float]], Tone]
    pattern: bool = False


def _near(value: float, within: float, what: str) -> Tone:
    return Tone(value, "colour-near-half" if abs(value - HALF) < within else "", what)


def _of_gray(values: list[float]) -> Tone:
    return Tone(min(max(values[0], 0.0), 1.0))


def _of_rgb(values: list[float]) -> Tone:
    return Tone(luma(*values[:3]))


def _of_inks(values: list[float]) -> Tone:
    """Neugebauer's equations: each overprint weighs as much as the paper that it covers, dots lying at random."""
    inks = [min(max(value, 0.0), 1.0) for value in values[:4]]
    light = 0.0
    for place, solid in enumerate(_OVERPRINTS):
        covered = (ink if place >> (3 - i) & 1 else 1 - ink for i, ink in enumerate(inks))
        light += solid * math.prod(covered)
    return _near(light, _NEAR_INK, "process inks")


GRAY, RGB, INKS = Space((0.0,), _of_gray), Space((0.0,) * 3, _of_rgb), Space((0.0, 0.0, 0.0, 1.0), _of_inks)
PATTERN = Space((), lambda _: Tone(None), pattern=True)
_BY_NAME = {
    "DeviceGray": GRAY, "G": GRAY, "CalGray": GRAY, "DeviceRGB": RGB, "RGB": RGB, "CalRGB": RGB,
    "DeviceCMYK": INKS, "CMYK": INKS, "Pattern": PATTERN,
}  # fmt: skip
_BY_COUNT = {1: GRAY, 3: RGB, 4: INKS}


def space_of(found: object, spaces: object = None, *, depth: int = 0) -> Space | None:
    """A colour space by its name, by its name among the page's, or by its array; None when it is not read."""
    if depth > _MOST_NESTED:
        return None
    if isinstance(found, (pikepdf.Name, Named)):
        own = entry(spaces, f"/{name(found)}")
        if own is not None and not (isinstance(own, pikepdf.Name) and name(own) == name(found)):
            return space_of(own, depth=depth + 1)
        return _BY_NAME.get(name(found))
    parts = items(found)
    family = name(parts[0]) if parts else ""
    if len(parts) == 1 or family == "Pattern":
        return _BY_NAME.get(family)
    make = _FAMILIES.get(family)
    return make(parts, depth) if make else None


def _profiled(parts: list[object], depth: int) -> Space | None:
    alike = _BY_COUNT.get(whole(entry(parts[1], "/N")))
    return alike and _told_near(alike) if alike else space_of(entry(parts[1], "/Alternate"), depth=depth + 1)


def _calibrated(parts: list[object], _depth: int) -> Space | None:
    return _told_near(GRAY if name(parts[0]) == "CalGray" else RGB)


def _told_near(space: Space) -> Space:
    """The same space, whose mid-tones are said to be in doubt: its profile is not applied."""

    def tone(values: list[float]) -> Tone:
        found = space.tone(values)
        return found if found.luma is None or found.doubt else _near(found.luma, _NEAR_PROFILE, "a colour profile")

    return Space(space.initial, tone)


def _lab(parts: list[object], _depth: int) -> Space:
    """CIE L*a*b* to sRGB by way of XYZ, the white of the space taken as that of the screen."""
    span = numbers(entry(parts[1], "/Range")) or [-100.0, 100.0, -100.0, 100.0]

    def tone(values: list[float]) -> Tone:
        lightness, a, b = (
            min(max(v, low), high)
            for v, low, high in zip(values, (0.0, *span[::2]), (100.0, *span[1::2]), strict=False)
        )
        m = (lightness + 16) / 116
        x, y, z = (_decoded(v) * w for v, w in zip((m + a / 500, m, m - b / 200), (0.9505, 1.0, 1.0890), strict=True))
        red = 3.2406 * x - 1.5372 * y - 0.4986 * z  # IEC 61966-2-1, XYZ of D65 to linear sRGB
        green = -0.9689 * x + 1.8758 * y + 0.0415 * z
        blue = 0.0557 * x - 0.2040 * y + 1.0570 * z
        return _near(luma(*(_coded(part) for part in (red, green, blue))), _NEAR_PROFILE, "L*a*b*")

    return Space((0.0, max(span[0], 0.0), max(span[2], 0.0)), tone)


def _decoded(value: float) -> float:
    return value**3 if value >= 6 / 29 else 108 / 841 * (value - 4 / 29)


def _coded(linear: float) -> float:
    return 1.055 * max(linear, 0.0) ** (1 / 2.4) - 0.055 if linear > 0.0031308 else 12.92 * linear


def _tinted(parts: list[object], depth: int) -> Space | None:
    """One ink of a name, or several: what they look like is a function to another space."""
    if len(parts) < 4:
        return None
    named = [name(each) for each in items(parts[1])] or [name(parts[1])]
    count = min(len(named), 32)
    if all(ink == "None" for ink in named):
        return Space((1.0,) * count, lambda _: Tone(None))
    base, way = space_of(parts[2], depth=depth + 1), function_of(parts[3])
    if named == ["All"]:
        return Space((1.0,), lambda values: Tone(1 - min(max(values[0], 0.0), 1.0)))
    if base is None:
        return None
    if way is None:  # a calculator in PostScript: the more ink, the darker
        what = f"the tint of {', '.join(named)[:40]}"
        return Space((1.0,) * count, lambda values: Tone(1 - min(max(0.0, *values), 1.0), "tint-unread", what))
    return Space((1.0,) * count, lambda values: _through(way(values), base))


def _through(values: list[float], base: Space) -> Tone:
    return base.tone(values) if len(values) >= len(base.initial) else Tone(0.0, "tint-unread", "a tint")


def _indexed(parts: list[object], depth: int) -> Space | None:
    base = space_of(parts[1], depth=depth + 1) if len(parts) >= 4 else None
    if base is None or not base.initial:
        return None
    found = parts[3]
    table = unpacked(found) if isinstance(found, pikepdf.Stream) else _raw(found)
    count = len(base.initial)

    def tone(values: list[float]) -> Tone:
        at = int(min(max(values[0], 0.0), 255.0)) * count
        row = [byte / 255 for byte in table[at : at + count]]
        return base.tone(row) if len(row) == count else Tone(0.0, "tint-unread", "an entry beyond the table")

    return Space((0.0,), tone)


def _raw(found: object) -> bytes:
    return bytes(found) if isinstance(found, (pikepdf.String, bytes)) else b""


_FAMILIES: dict[str, Callable[[list[object], int], Space | None]] = {
    "ICCBased": _profiled,
    "CalRGB": _calibrated,
    "CalGray": _calibrated,
    "Lab": _lab,
    "Separation": _tinted,
    "DeviceN": _tinted,
    "Indexed": _indexed,
    "I": _indexed,
}
