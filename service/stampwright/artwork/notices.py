"""Collects what was repaired, what was left out, and what refuses the drawing: one entry per code, counted."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from stampwright.base import ArtworkError, Notice, Refusal, numbered

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from stampwright.base import Bounds

    from .display import Piece, Shape

_REFUSALS_SAID = 20  # a scan with a thousand letters is told by its first ones and the count


class Remark(NamedTuple):
    """What a code says: is it a loss (`left_out`) or a change (`repaired`), in which words, with which remedy."""

    lost: bool
    says: str
    remedy: str


LOST, CHANGED = True, False
_SEND = "Send the font with an SVG, embed it in a PDF, or convert the text to outlines (paths) in the drawing program."
_OUTLINES = "Convert the text to outlines (paths) in the drawing program."
REMARKS = {
    # What refuses unless the job's artwork.ignore names it
    "text-not-outlined": Remark(LOST, "Text is drawn with a font that is not at hand.", _SEND),
    "glyph-missing": Remark(LOST, "A character is not in the font that its text is set in.", _SEND),
    "text-direction": Remark(LOST, "Text runs from right to left, which is not set.", _OUTLINES),
    "text-style": Remark(LOST, "Text has a style that is not set.", _OUTLINES),
    "raster-image": Remark(LOST, "A raster image is embedded; pixels have no outline.", "Trace it to outlines."),
    "foreign-object": Remark(LOST, "Foreign content (not SVG) is embedded.", "Redraw it as paths."),
    "pattern-fill": Remark(LOST, "A pattern is used as paint.", "Expand the pattern to shapes."),
    "soft-mask": Remark(LOST, "A soft mask fades what is painted.", "Flatten the transparency, or use a clip."),
    # Read, and not exactly as drawn
    "path-syntax": Remark(CHANGED, "A path has an error; the part before it was read.", "Draw the path again."),
    "bad-value": Remark(CHANGED, "A value cannot be understood and was ignored, as CSS asks.", "Correct the value."),
    "css-ignored": Remark(CHANGED, "A part of a style sheet was ignored.", "Save with plain presentation attributes."),
    "translucent-as-solid": Remark(
        CHANGED, "Translucent paint that reads as ink was taken as solid.", "Use solid paint."
    ),
    "translucent-skipped": Remark(LOST, "Faint translucent paint was neither ink nor cover.", "Use solid paint."),
    "gradient-crosses-threshold": Remark(
        CHANGED, "A gradient runs from dark to light; its mean decided.", "Use a plain colour."
    ),
    "mask-thresholded": Remark(
        CHANGED, "A soft mask was cut at one half.", "Use a clip path, or a black and white mask."
    ),
    "filter-ignored": Remark(LOST, "A filter effect was not applied.", "Expand the effect to shapes, or remove it."),
    "blend-ignored": Remark(CHANGED, "A blend mode was read as plain painting.", "Flatten the blend in the drawing."),
    "join-approximated": Remark(
        CHANGED, "An arcs or clipped mitre join was drawn as a mitre.", "Use mitre or round joins."
    ),
    "slivers-removed": Remark(
        CHANGED, "Specks and pinholes below 0.001 mm² on the face were removed.", "Nothing to do."
    ),
    "outside-page": Remark(LOST, "Ink outside the page, or outside a view, was cut off.", "Enlarge the page."),
    "broken-reference": Remark(LOST, "A reference leads nowhere and was ignored.", "Restore what it names."),
    "use-cycle": Remark(LOST, "An element refers to itself.", "Break the circle."),
    "external-reference": Remark(LOST, "Something outside the file is referred to; nothing is fetched.", "Embed it."),
    "clip-ignored": Remark(LOST, "A clip or mask of a kind that is not read was not applied.", "Use a clipPath."),
    "transform-ignored": Remark(LOST, "A transform of a kind that is not read was ignored.", "Apply the transform."),
    "marker-ignored": Remark(
        LOST,
        "Markers on a rectangle, circle or ellipse, or of a kind that is not read, were left out.",
        "Convert the markers to paths.",
    ),
    "unknown-element": Remark(LOST, "An element that SVG does not know was left out with its content.", "Remove it."),
    "animation-ignored": Remark(CHANGED, "An animation was read at its resting state.", "Save a still drawing."),
    "script-ignored": Remark(LOST, "A script was not run.", "Save the drawing as the script leaves it."),
    "symbol-size": Remark(
        CHANGED,
        "A symbol has a place, size or transform of its own; SVG 2 keeps to it, older programs do not.",
        "Give the use its width and height.",
    ),
    "programs-differ": Remark(
        CHANGED,
        "Programs read this differently; it was read as the standard has it.",
        "Compare the picture with what is meant, or draw it in a plainer way.",
    ),
    "language-choice": Remark(CHANGED, "The drawing chooses by language; English was chosen.", "Send one language."),
    "text-decoration": Remark(LOST, "A line under, over or through text was left out.", "Draw the line as a path."),
    "text-off-path": Remark(LOST, "Letters beyond the ends of their path were left out.", "Use a longer path."),
    "font-substituted": Remark(
        CHANGED, "The nearest of the fonts sent was taken, not the one asked for.", "Send the font asked for."
    ),
    "font-colours": Remark(CHANGED, "A font with colours was read by its plain outlines.", "Nothing to do."),
    "baseline-approximate": Remark(
        CHANGED, "A raised or lowered baseline was set as usual, which programs do differently.", "Give it as a length."
    ),
    "more-pages": Remark(LOST, "The file has further pages; the first is read.", "Send a file of one page."),
    "hairline": Remark(LOST, "A line without width was left out: it has no size.", "Give the line a width."),
    "stream-unread": Remark(LOST, "A part of the page cannot be unpacked and was left out.", "Export it again."),
    "annotation-ignored": Remark(
        LOST, "A comment, a stamp or the field of a form was left out.", "Flatten it into the page."
    ),
    "overprint-ignored": Remark(
        CHANGED, "Paint that should print over what is below was read as covering it.", "Flatten the overprint."
    ),
    "shading-skipped": Remark(LOST, "A shading of a kind that is not read was left out.", "Use a plain colour."),
    "shading-ends": Remark(
        CHANGED, "A shading that ends within its area was read as filling it.", "Use a plain colour."
    ),
    "colour-near-half": Remark(
        CHANGED, "A colour so near one half that viewers part on it was taken for what it is here.", "Use black."
    ),
    "tint-unread": Remark(
        CHANGED, "The look of a named ink is not read; the more of it, the darker it was taken.", "Use a plain colour."
    ),
    "text-in-clip": Remark(LOST, "Text in a clip path was left out.", _OUTLINES),
    "declared-otherwise": Remark(
        CHANGED, "The drawing is of another kind than it was said to be; its content decided.", "Name it as what it is."
    ),
    "unit-unused": Remark(
        CHANGED,
        "artwork.unit is for a DXF; this drawing was read in its own size.",
        "Give width and height in the drawing, or as placement.fit.",
    ),
    # Of DXF
    "no-units": Remark(
        CHANGED, "The drawing does not say its unit; it was read in millimetres.", 'Give artwork.unit "mm" or "in".'
    ),
    "gap-bridged": Remark(CHANGED, "Ends of lines that do not quite meet were joined.", "Join them in the drawing."),
    "open-contour": Remark(
        LOST, "Lines that close no outline were left out.", "Close the outlines, or delete what is no part of the mark."
    ),
    "outline-branches": Remark(
        LOST, "Lines that part at a point were left out: which side is ink cannot be told.", "Draw closed outlines."
    ),
    "duplicate-outline": Remark(CHANGED, "Outlines drawn more than once were taken once.", "Delete the copies."),
    "outlines-cross": Remark(
        CHANGED,
        "Outlines cross; where an even number of them overlap, there is no ink.",
        "Unite them in the drawing, or fill the ink with solid hatches.",
    ),
    "outline-beside-hatch": Remark(
        LOST,
        "Outlines that bound no solid hatch were left out, for the hatches are the ink.",
        "Fill them with solid hatches as well, or delete the hatches.",
    ),
    "hidden-layer": Remark(
        LOST,
        "What is invisible, or on layers that are off, frozen or not plotted, was left out.",
        "Turn the layer on, if it is part of the mark.",
    ),
    "construction-left-out": Remark(
        LOST, "Dimensions, leaders, points and construction lines were left out.", "Nothing to do."
    ),
    "entity-unread": Remark(
        LOST, "Entities that have no outline in the plane, or an unknown kind, were left out.", "Explode them to lines."
    ),
    "bad-entity": Remark(LOST, "Entities with impossible values were left out.", "Draw them again."),
    "width-averaged": Remark(
        CHANGED, "An arc of changing width was drawn with its mean width.", "Convert it to a closed outline."
    ),
    "paper-space": Remark(LOST, "What lies in paper space was not read.", "Move the mark to the modelspace."),
}
DECIDING = frozenset({"filter-ignored", "blend-ignored"})  # ink hangs on it, though not by how much


@dataclass(slots=True)
class _Entry:
    code: str
    place: str | None
    count: int = 0
    shapes: dict[int, Shape] = field(default_factory=dict)  # whose ink hangs on it; by identity, in order
    around: list[Shape] = field(default_factory=list)  # where it is
    box_mm: Bounds | None = None  # where it is, when no shape says so
    what: dict[str, None] = field(default_factory=dict)  # distinct particulars, in order


class Log:
    """The notices of one reading. `place_of` names an element by its path in the document."""

    def __init__(self, ignore: frozenset[str], place_of: Callable[[Piece], str]) -> None:
        self._ignore = ignore
        self._place_of = place_of
        self._entries: dict[str, _Entry] = {}
        self._waiting: dict[int, list[_Entry]] = {}  # by identity of an element whose shapes are not known yet
        self._refusals: list[Refusal] = []

    def note(  # noqa: PLR0913  each is one thing that may be known
        self,
        code: str,
        element: Piece | None = None,
        *,
        what: str = "",
        shape: Shape | None = None,
        count: int = 1,
        box_mm: Bounds | None = None,
    ) -> None:
        """Count occurrences; a `shape` is what the bounds and the share of the ink are taken of.

        Without one, the shapes that the element turns out to have say where it is.
        """
        entry = self._entries.get(code)
        if entry is None:
            place = None if element is None else self._place_of(element)
            entry = self._entries[code] = _Entry(code, place)
        entry.count += count
        entry.box_mm = entry.box_mm or box_mm
        if what and len(entry.what) < 5:
            entry.what[what] = None
        if shape is not None:
            entry.shapes[id(shape)] = shape
        elif element is not None:
            self._waiting.setdefault(id(element), []).append(entry)

    def shown(self, element: Piece, shapes: list[Shape]) -> None:
        """Learn the shapes of an element that may have been noted."""
        for entry in self._waiting.pop(id(element), ()):
            if entry.code in DECIDING:
                entry.shapes.update((id(shape), shape) for shape in shapes)
            else:
                entry.around += shapes

    def hang(self, code: str, shapes: Iterable[Shape]) -> None:
        """Learn whose ink hangs on what has been noted."""
        self._entries[code].shapes.update((id(shape), shape) for shape in shapes)

    def count_of(self, code: str) -> int:
        """How often something has been noted."""
        entry = self._entries.get(code)
        return 0 if entry is None else entry.count

    def refuse(self, code: str, element: Piece, *, what: str = "") -> None:
        """Refuse because of an element, unless the job says to ignore it; then it is a notice."""
        if code in self._ignore:
            self.note(code, element, what=what)
            return
        says = REMARKS[code].says + (f" ({what})" if what else "")
        detail = f"{says} {REMARKS[code].remedy} To go on without it, name `{code}` in artwork.ignore."
        self._refusals.append(Refusal(code, detail, element=self._place_of(element)))

    def refuse_if_any(self) -> None:
        """Raise `ArtworkError` with every reason found so far."""
        if self._refusals:
            more = len(self._refusals) - _REFUSALS_SAID
            said = self._refusals[:_REFUSALS_SAID]
            if more > 0:
                said.append(Refusal(said[-1].code, f"… and {numbered(more, 'more place')} of this kind."))
            raise ArtworkError(said)

    def doubtful(self) -> dict[str, list[Shape]]:
        """The shapes whose ink hangs on each code."""
        return {code: list(entry.shapes.values()) for code, entry in self._entries.items() if entry.shapes}

    def places(self) -> dict[str, list[Shape]]:
        """The shapes that say where each of the other codes was met."""
        return {code: entry.around for code, entry in self._entries.items() if entry.around and not entry.shapes}

    def notices(
        self, *, lost: bool, bounds: dict[str, Bounds | None], shares: dict[str, float | None]
    ) -> tuple[Notice, ...]:
        """The notices of one of the two lists, in the order of the drawing."""
        return tuple(
            Notice(
                code,
                REMARKS[code].says + (f" ({', '.join(entry.what)})" if entry.what else ""),
                REMARKS[code].remedy,
                element=entry.place,
                count=entry.count,
                bounds_mm=bounds.get(code) or entry.box_mm,
                ink_share=shares.get(code),
            )
            for code, entry in self._entries.items()
            if REMARKS[code].lost == lost
        )
