"""Text: its matrices, its modes, glyph after glyph as shapes (ISO 32000-1, 9)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from stampwright.artwork.affine import Affine, shift, times
from stampwright.artwork.display import Shape
from stampwright.artwork.limits import keep_within
from stampwright.artwork.paths import Path

from .fonts import Font, font_of
from .objects import entry, identity, number
from .state import Matrices

if TYPE_CHECKING:
    from .fonts import Code
    from .interpreter import Interpreter
    from .state import Spot

_FILLS, _STROKES, _CLIPS, _INVISIBLE = (0, 2, 4, 6), (1, 2, 5, 6), (4, 5, 6, 7), 3


class Text:
    """The text of one stream."""

    def __init__(self, run: Interpreter) -> None:
        self._run = run
        self._matrices = Matrices()
        self._to_clip: list[tuple[Path, Affine]] = []
        self._refused: Spot | None = None

    def set(self, attribute: str, value: float) -> None:
        """Set a parameter of the text state."""
        state = self._run.state
        state.text = replace(state.text, **{attribute: value})  # type: ignore[arg-type]  # each name with a number

    def select(self, operands: list[Any]) -> None:
        """`Tf`: a font by its name, and its size."""
        named = str(operands[0]) if operands else ""
        found = entry(entry(self._run.resources, "/Font"), f"/{named}")
        self.choose(found, number(operands[-1]) if operands else 0.0, named)

    def choose(self, found: object, size: float, named: str) -> None:
        """Take a font from its dictionary. It is read when its first glyph is shown: many are chosen in vain."""
        text = self._run.state.text
        self._run.state.text = replace(text, font=found, font_name=named, size=size)

    def begin(self) -> None:
        """`BT`."""
        self._matrices = Matrices()

    def end(self) -> None:
        """`ET`: glyphs of the modes that clip do so now, all together."""
        if self._to_clip:
            self._run.clip(self._to_clip, "nonzero")
            self._to_clip = []

    def place(self, m: Affine) -> None:
        """`Tm`."""
        self._matrices = Matrices(m, m)

    def next_line(self, x: float, y: float, *, leading: bool = False) -> None:
        """`Td` and `TD`."""
        if leading:
            self.set("leading", -y)
        self.place(times(self._matrices.line, shift(x, y)))

    def new_line(self) -> None:
        """`T*`."""
        self.next_line(0.0, -self._run.state.text.leading)

    def show_next(self, operands: list[Any]) -> None:
        """`'`."""
        self.new_line()
        self.show(operands[-1:])

    def show_spaced(self, operands: list[Any]) -> None:
        """The double quote: spacing of words and letters, then the next line."""
        if len(operands) >= 3:
            self.set("word_spacing", number(operands[-3]))
            self.set("character_spacing", number(operands[-2]))
        self.show_next(operands)

    def show(self, parts: list[Any]) -> None:
        """`Tj` and `TJ`: strings, and numbers that move in thousandths of the size."""
        font = self._font()
        text = self._run.state.text
        for part in parts:
            if isinstance(part, bytes):
                for code in font.codes(part):
                    self._glyph(font, code)
            else:
                self._move(-number(part) / 1000 * text.size * text.scale, font)

    def _font(self) -> Font:
        """The font in force, read at its first use."""
        run, found = self._run, self._run.state.text.font
        key = identity(found)
        if not isinstance(key, tuple):
            key = (run.path, run.state.text.font_name)
        if key not in run.fonts:
            run.fonts[key] = font_of(found)
            keep_within("fonts_of_page", len(run.fonts), element=run.spot.place)
        return run.fonts[key]

    def _move(self, by: float, font: Font) -> None:
        way = shift(0.0, by) if font.vertical else shift(by, 0.0)
        self._matrices.at = times(self._matrices.at, way)

    def _glyph(self, font: Font, code: Code) -> None:
        text = self._run.state.text
        run = self._run
        run.budget.operator()
        spaced = text.word_spacing if code.is_space else 0.0
        if text.mode != _INVISIBLE or font.procedures is not None:
            self._drawn(font, code)
        self._move((code.width * text.size + text.character_spacing + spaced) * text.scale, font)

    def _drawn(self, font: Font, code: Code) -> None:
        """One glyph where it stands; of a font that is not at hand, the refusal."""
        run, text = self._run, self._run.state.text
        size = (text.size * text.scale, 0.0, 0.0, text.size, 0.0, text.rise)
        to_user = times(times(self._matrices.at, size), font.matrix)
        if font.procedures is not None:
            run.glyph_procedure(font, code.code, to_user)
            return
        outline = font.outline(code.code)
        if isinstance(outline, str):
            self._refuse(outline, to_user)
        elif outline.nodes:
            self._painted(outline, to_user)

    def _refuse(self, why: str, to_user: Affine) -> None:
        run = self._run
        if run.is_hidden:
            return
        if run.spot is self._refused:
            return  # a line is refused once, not by the letter
        self._refused = run.spot
        run.log.refuse("text-not-outlined", run.spot, what=why)
        square = Path(nodes=[(0.0, 0.0), (0.5, 0.0), (0.5, 0.7), (0.0, 0.7)], subpaths=[(0, 4, True)])
        run.log.shown(run.spot, [Shape(run.spot, square, times(run.state.to_page, to_user))])

    def _painted(self, outline: Path, to_user: Affine) -> None:
        run, mode = self._run, self._run.state.text.mode
        if run.is_hidden:
            run.note_hidden(outline.moved(to_user))
            return
        to_page = times(run.state.to_page, to_user)
        if mode in _FILLS:
            run.canvas.fill(run.spot, outline, run.state, to_page=to_page)
        if mode in _STROKES:
            run.canvas.stroke(run.spot, outline.moved(to_user), run.state)
        if mode in _CLIPS:
            self._to_clip.append((outline, to_page))
