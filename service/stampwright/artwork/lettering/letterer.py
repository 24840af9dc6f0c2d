"""Sets the text of a drawing in the fonts that came with it, as painted shapes of the reader's own tree."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stampwright.artwork.affine import inverse, times
from stampwright.artwork.limits import keep_within
from stampwright.artwork.svg.cascade import Style
from stampwright.artwork.svg.painting import painted
from stampwright.artwork.svg.stencils import Outline

from .baselines import drop_em, x_height_em
from .doubts import is_refused, lacks_glyphs, shows, tell, tell_lost
from .glyphs import Outlines
from .layout import lay_out
from .letters import read_text
from .pieces import boxes_of, outline_of, pieces, to_place
from .shaping import Setting, faced, runs_of, scripts_of, shaped
from .styles import features_of, spacing_px, wanted_of
from .tracks import tracks_of

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree.ElementTree import Element

    from stampwright.artwork.display import Shape
    from stampwright.artwork.paths import Path
    from stampwright.artwork.svg.walk import Here, Walk

    from .choice import Chosen, Fonts
    from .letters import Letter, Text
    from .shaping import Cell

_AS_FONTS_ARE = {"fill-rule": "nonzero", "marker-start": "none", "marker-mid": "none", "marker-end": "none"}


class Letterer:
    """Sets text for one walk."""

    def __init__(self, walk: Walk, fonts: Fonts) -> None:
        self._walk, self._fonts = walk, fonts
        self._outlines = Outlines()
        self._count = 0

    def drawn(self, element: Element, style: Style, at: Here) -> list[Shape]:
        """Painted shapes of a text element; none where it is refused or nothing of it shows."""
        text = self._text(element, style, at)
        if not any(map(shows, text.letters)):
            return []
        cells = self._set(text, at)
        if cells is None:
            self._walk.log.shown(element, [self._walk.frame(element, style, at)])
            return []
        shapes: list[Shape] = []
        for piece in pieces(text.letters, cells):
            shapes += self._painted(text.letters[piece[0].first], piece, at)
        boxes = boxes_of(cells)
        self._walk.outlines.append(Outline(boxes, at.to_page, stroked=True))
        return self._walk.stencils.applied(element, style, at, shapes, path=boxes)

    def outline(self, element: Element, style: Style, at: Here) -> Path:
        """The plain outline of a text element, as a clip path takes it; empty where it is refused."""
        text = self._text(element, style, at)
        cells = self._set(text, at) or []
        seen = [cell for cell in cells if text.letters[cell.first].style["visibility"] == "visible"]
        return outline_of(seen, self._outlines)

    def _text(self, element: Element, style: Style, at: Here) -> Text:
        text = read_text(self._walk, element, style, at, ex_px=self._ex_px)
        self._count += len(text.letters)
        keep_within("letters", self._count)
        return text

    def _ex_px(self, style: Style) -> float:
        """Height of the small x; half an em where no font that was sent is asked for (CSS Values 4, 6.1.1)."""
        chosen = self._fonts.chosen(wanted_of(style))
        return (x_height_em(chosen[0]) if chosen else 0.5) * style.font_px

    def _set(self, text: Text, at: Here) -> list[Cell] | None:
        """Cells in their places; None where the text is refused."""
        log = self._walk.log
        if is_refused(text, self._fonts, log):
            return None
        fonts = faced(text.letters, lambda letter: self._fonts.chosen(wanted_of(letter.style)))
        tell(text, fonts, log)
        cells = self._cells(text.letters, fonts)
        if lacks_glyphs(text.letters, cells, self._outlines, log):
            return None
        tracks = tracks_of(self._walk, text, at)
        lay_out(text, cells, view=at.view, tracks=tracks)
        tell_lost(text, cells, log)
        return cells

    def _cells(self, letters: Sequence[Letter], fonts: Sequence[Chosen]) -> list[Cell]:
        """Cells one after the other, each with its baseline in y."""
        scripts = scripts_of([letter.sign for letter in letters])
        settings = [_setting(*each) for each in zip(letters, fonts, scripts, strict=True)]
        cells: list[Cell] = []
        pen = 0.0
        for first, stop in runs_of(letters, settings):
            for cell in shaped(letters, first, stop, settings[first]):
                letter = letters[cell.first]
                if letter.sign in " \N{NO-BREAK SPACE}":
                    cell.advance += spacing_px(letter.style, "word-spacing")
                cell.x, cell.drop = pen, self._drop(letter, cell.setting) - letter.rise_px
                cell.y = cell.drop
                pen += cell.advance
                cells.append(cell)
        return cells

    def _drop(self, letter: Letter, setting: Setting) -> float:
        """How far below the line a letter's alphabetic baseline lies, so that the one asked for is on the line."""
        own = letter.style["alignment-baseline"]
        keyword = own if own not in {"auto", "baseline"} else letter.style["dominant-baseline"]
        found = drop_em(setting.chosen, keyword)
        if found is None:
            self._walk.log.note("bad-value", letter.element, what=f"baseline: {keyword[:40]}")
            return 0.0
        return found * setting.size_px

    def _painted(self, letter: Letter, cells: Sequence[Cell], at: Here) -> list[Shape]:
        """Shapes of cells that are painted together; one that is stretched is, with its stroke, in its own space."""
        look = Style(letter.style.inherited | _AS_FONTS_ARE, letter.style.own)
        here = replace(at, opacity=at.opacity * letter.opacity)
        path = outline_of(cells, self._outlines)
        back = inverse(to_place(cells[0])) if cells[0].wide != 1 else None
        if back is not None:
            path, here = path.moved(back), replace(here, to_page=times(at.to_page, to_place(cells[0])))
        if not path.nodes:
            return []
        self._walk.keep(letter.element, path, here)
        shapes = painted(self._walk, letter.element, path, look, here)
        self._walk.log.shown(letter.element, shapes)
        return shapes


def _setting(letter: Letter, chosen: Chosen, script: str) -> Setting:
    spacing = spacing_px(letter.style, "letter-spacing")
    return Setting(chosen, letter.style.font_px, features_of(letter.style), spacing, script, letter.language)
