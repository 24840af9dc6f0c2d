"""Which of the fonts that were sent a piece of text is set in: the matching of CSS Fonts 4, section 5.2.

Nothing is taken from the machine, and no bold or slant is made up: what is nearest is taken, and told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from .faces import faces_in
from .letterer import Letterer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stampwright.artwork.source import EmbeddedFont
    from stampwright.artwork.svg.walk import Walk

    from .faces import Face, Range
    from .styles import Wanted


_OBLIQUE_DEG = -14.0  # CSS Fonts 4: what `oblique` means without an angle; the axis counts the other way round


@dataclass(frozen=True, slots=True)
class Chosen:
    """A face at a place on its axes; `instead` says in words what was asked for when it is not what was found."""

    face: Face
    place: tuple[tuple[str, float], ...]
    instead: str = ""

    @property
    def font(self) -> Any:  # noqa: ANN401  an hb.Font
        """The font to shape and draw with, in units of its em."""
        return self.face.at(self.place)


class Fonts:
    """The fonts of one job, opened when the first text asks for one; those in the drawing go before those beside it."""

    def __init__(self, files: Sequence[bytes], embedded: Sequence[EmbeddedFont] = ()) -> None:
        self._files, self._embedded = files, embedded
        self._faces: list[Face] | None = None
        self._chosen: dict[Wanted, tuple[Chosen, ...]] = {}

    def letterer(self, walk: Walk) -> Letterer:
        """Who sets the text of one walk in these fonts."""
        return Letterer(walk, self)

    @property
    def faces(self) -> list[Face]:
        """All faces in all files. Raises `ArtworkError` or `TooComplex`."""
        if self._faces is None:
            self._faces = faces_in(self._files, self._embedded)
        return self._faces

    def chosen(self, wanted: Wanted) -> tuple[Chosen, ...]:
        """A face for each family asked for that was sent, in the order in which they were asked for."""
        if wanted not in self._chosen:
            found = (self._of_family(family.lower(), wanted) for family in wanted.families)
            self._chosen[wanted] = tuple(chosen for chosen in found if chosen)
        return self._chosen[wanted]

    def _of_family(self, family: str, wanted: Wanted) -> Chosen | None:
        faces = [face for face in self.faces if family in face.families]
        faces = [face for face in faces if face.embedded] or faces
        if not faces:  # a program that writes the name of the one font means that font, whatever its weight
            named = [face for face in self.faces if family in face.own_names]
            return Chosen(named[0], _placed(named[0], wanted)) if named else None
        face = min(faces, key=lambda face: _distance(face, wanted, family))
        return Chosen(face, _placed(face, wanted), _missed(face, wanted, family))


def _distance(face: Face, wanted: Wanted, family: str) -> tuple[float, ...]:
    """How far a face is from what is wanted: first by width, then by slant, then by weight."""
    return (
        *_beyond(face.widths, wanted.width, downwards=wanted.width <= 100),
        float(_is_astray(face, wanted)),
        *_weighed(face.weights_in(family), wanted.weight),
    )


def _is_astray(face: Face, wanted: Wanted) -> bool:
    """Whether a face is upright where a slanted one is wanted, or the other way round."""
    return face.slanted != wanted.slanted and not (wanted.slanted and {"ital", "slnt"} & set(face.axes))


def _beyond(found: Range, wanted: float, *, downwards: bool) -> tuple[float, float]:
    """0 when covered; else whether it lies on the side that is looked at last, and how far away."""
    least, most = found
    if least <= wanted <= most:
        return 0.0, 0.0
    is_below = most < wanted
    return (1.0 if is_below == downwards else 2.0), wanted - most if is_below else least - wanted


def _weighed(found: Range, wanted: float) -> tuple[float, float]:
    """Of 400 to 500 first the heavier up to 500, then the lighter; below 400 first the lighter; else the heavier."""
    least, _ = found
    if 400 <= wanted <= 500 and wanted < least <= 500:
        return 0.5, least - wanted
    return _beyond(found, wanted, downwards=wanted <= 500)


def _placed(face: Face, wanted: Wanted) -> tuple[tuple[str, float], ...]:
    """Where on its axes a variable face is taken; empty for any other."""
    slant = {"ital": 1.0, "slnt": _OBLIQUE_DEG} if wanted.slanted else {}
    optical = {} if wanted.optical_px is None else {"opsz": wanted.optical_px}  # CSS Fonts 4: one unit is one px
    asked = {"wght": wanted.weight, "wdth": wanted.width} | slant | optical | dict(wanted.axes)
    return tuple(
        (tag, min(max(value, face.axes[tag][0]), face.axes[tag][1]))
        for tag, value in sorted(asked.items())
        if tag in face.axes
    )


def _missed(face: Face, wanted: Wanted, family: str) -> str:
    parts = []
    least, most = face.weights_in(family)
    if not least <= wanted.weight <= most:
        taken = min(max(wanted.weight, least), most)
        parts.append(f"weight {taken:g} for {wanted.weight:g}")
    if _is_astray(face, wanted):
        parts.append("italic for upright" if face.slanted else "upright for italic")
    if not face.widths[0] <= wanted.width <= face.widths[1]:
        taken = min(max(wanted.width, face.widths[0]), face.widths[1])
        parts.append(f"width {taken:g} % for {wanted.width:g} %")
    return f"{face.family}: {', '.join(parts)}" if parts else ""
