"""The interpreter of content streams: graphics state, paths, clips, forms, layers (ISO 32000-1, 8 and annex A)."""

from __future__ import annotations

import copy
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pikepdf

from stampwright.artwork.affine import Affine, inverse, moved_box, times
from stampwright.artwork.display import Shape
from stampwright.artwork.limits import keep_within
from stampwright.artwork.paths import Path

from .canvas import Canvas, clipped
from .colour import GRAY, Space, Tone, space_of
from .lexer import Stray, operations
from .objects import Named, affine, entry, identity, items, name, number, numbers, readable, whole
from .operators import HANDLERS, NUMBERS
from .shadings import shading_tone
from .state import Clip, Paint, Spot, State, TextState
from .text import Text
from .trail import Trail

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stampwright.artwork.notices import Log
    from stampwright.artwork.paint import PaintRule
    from stampwright.plane import Rule

    from .fonts import Font
    from .layers import Layers
    from .lexer import Operation

_UNIT = Path(nodes=[(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)], subpaths=[(0, 4, True)])

_FORM = 16  # operators that a form weighs


class Budget:
    """Counts over all streams of a page together, repeats included."""

    def __init__(self) -> None:
        self.operators = self.tokens = self.content = 0

    def token(self, more: int) -> None:
        """Count tokens."""
        self.tokens += more
        keep_within("tokens", self.tokens)

    def operator(self) -> None:
        """Count an operator."""
        self.operators += 1
        keep_within("operators", self.operators)

    def form(self) -> None:
        """Count a stream that is run within another: it costs as much as a good many operators."""
        self.operators += _FORM
        keep_within("operators", self.operators)

    def bytes(self, more: int) -> None:
        """Count bytes of content."""
        self.content += more
        keep_within("content", self.content)


class Interpreter:
    """Runs the streams of one page. Each stream has its own resources; state and canvas are shared."""

    def __init__(
        self, log: Log, rule: PaintRule, layers: Layers, *, to_page: Affine, page_px: tuple[float, float]
    ) -> None:
        self.log = log
        self.canvas = Canvas(log, rule)
        self.state = State(to_page, Clip(None, (0.0, 0.0, *page_px)))
        self.text: Text = Text(self)
        self.trail: Trail = Trail()
        self.budget = Budget()
        self.resources: object = None
        self.spot = Spot("/page[1]", "start", 1)
        self._layers = layers
        self._clip_rule: Rule | None = None
        self._saved: list[State] = []
        self._hidden: list[bool] = []  # one for each marked content that is open
        self._running: list[object] = []
        self.path = "/page[1]"
        self.fonts: dict[object, Font] = {}  # those of which a glyph was shown

    @property
    def is_hidden(self) -> bool:
        """Whether what is met now belongs to a layer that is off."""
        return any(self._hidden)

    def run(self, data: bytes, resources: object, *, path: str) -> None:
        """Run one stream; unknown operators are ignored, and `Q` without `q` too."""
        self.budget.bytes(len(data))
        outer = self.resources, self.path, self._saved, self._hidden
        self.resources, self.path, self._saved = resources, path, []
        self._hidden = [self.is_hidden]
        met: dict[str, int] = {}
        try:
            for operation in operations(data, self.budget.token):
                self._do(operation, met)
        except Stray:
            self.log.note("path-syntax", self.spot)
        if self._saved:
            self.state = self._saved[0]
        self.resources, self.path, self._saved, self._hidden = outer

    def _do(self, operation: Operation, met: dict[str, int]) -> None:
        self.budget.operator()
        operator, operands = operation
        handler = HANDLERS.get(operator)
        if handler is None:
            return
        met[operator] = met.get(operator, 0) + 1
        self.spot = Spot(self.path, operator, met[operator])
        wanted = NUMBERS.get(operator)
        if wanted is not None:
            operands = [number(each) for each in operands[-wanted:]]
            if len(operands) < wanted:
                self.log.note("bad-value", self.spot, what=operator)
                return
        handler(self, operands)

    # Graphics state

    def save(self) -> None:
        """`q`."""
        self._saved.append(copy.copy(self.state))
        keep_within("saves", len(self._saved), element=self.spot.place)

    def restore(self) -> None:
        """`Q`."""
        if self._saved:
            self.state = self._saved.pop()

    def concatenate(self, m: Affine) -> None:
        """`cm`: a map done before those so far."""
        self.state.to_page = times(self.state.to_page, m)

    def set_dashes(self, operands: list[Any]) -> None:
        """`d`: lengths and where to begin; none, or nothing but zeros, is a solid line."""
        found = numbers(operands[0]) if operands else []
        lengths = tuple(found * 2 if len(found) % 2 else found)
        self.state.dashes = lengths if sum(lengths) > 0 and min(lengths) >= 0 else ()
        self.state.dash_offset = number(operands[1]) if len(operands) > 1 else 0.0

    def set_many(self, operands: list[Any]) -> None:
        """`gs`: what a dictionary of the resources says."""
        found = self.resource("ExtGState", operands)
        state = self.state
        for key, attribute in (("LW", "width"), ("ML", "mitre_limit"), ("LC", "cap"), ("LJ", "join")):
            value = entry(found, f"/{key}")
            if value is not None:
                setattr(state, attribute, number(value) if key in ("LW", "ML") else whole(value))
        if (dashes := entry(found, "/D")) is not None:
            self.set_dashes(items(dashes))
        if len(font := items(entry(found, "/Font"))) == 2:
            self.text.choose(font[0], number(font[1]), "")
        self._set_blend(found)

    def _set_blend(self, found: object) -> None:
        state = self.state
        if (alpha := entry(found, "/ca")) is not None:
            state.fill = replace(state.fill, alpha=number(alpha, 1.0))
        if (alpha := entry(found, "/CA")) is not None:
            state.stroke = replace(state.stroke, alpha=number(alpha, 1.0))
        if (blend := entry(found, "/BM")) is not None:
            state.blend = name(blend) or next(iter(map(name, items(blend))), "Normal")
        if (mask := entry(found, "/SMask")) is not None:
            state.soft_mask = mask if isinstance(mask, pikepdf.Dictionary) else None
        both = entry(found, "/OP")
        if both is not None or entry(found, "/op") is not None:
            state.overprint = bool(both if entry(found, "/op") is None else entry(found, "/op"))

    # Colour

    def set_space(self, operands: list[Any], *, stroke: bool) -> None:
        """`cs` and `CS`: a space, and its first colour."""
        space = space_of(operands[-1], entry(self.resources, "/ColorSpace")) if operands else None
        self._set_paint(space or GRAY, list(space.initial) if space else [0.0], stroke=stroke, known=space is not None)

    def set_plain(self, space: Space, operands: list[Any], *, stroke: bool) -> None:
        """`g`, `rg`, `k` and their like: the colour of a device's space."""
        self._set_paint(space, operands, stroke=stroke)

    def set_colour(self, operands: list[Any], *, stroke: bool) -> None:
        """`sc`, `scn` and their like: components in the space in force, or a pattern's name."""
        space = (self.state.stroke if stroke else self.state.fill).space
        if space.pattern:
            self._set_pattern(operands, stroke=stroke)
        elif operands and not isinstance(operands[-1], Named):
            self._set_paint(space, [number(each) for each in operands], stroke=stroke)

    def _set_paint(self, space: Space, values: list[Any], *, stroke: bool, known: bool = True) -> None:
        if not self.state.coloured:
            return
        if len(values) < len(space.initial):
            self.log.note("bad-value", self.spot, what="a colour")
            return
        tone = space.tone(values)
        self._tone(space, tone if known else Tone(tone.luma, "tint-unread", "a colour space"), stroke=stroke)

    def _tone(self, space: Space, tone: Tone, *, stroke: bool) -> None:
        which = "stroke" if stroke else "fill"
        setattr(self.state, which, replace(getattr(self.state, which), space=space, tone=tone))

    def _set_pattern(self, operands: list[Any], *, stroke: bool) -> None:
        found = self.resource("Pattern", operands)
        space = (self.state.stroke if stroke else self.state.fill).space
        if number(entry(found, "/PatternType")) == 2:
            tone = shading_tone(entry(found, "/Shading"), entry(self.resources, "/ColorSpace"))
        else:
            tone = Tone(None, "pattern-fill")
        if self.state.coloured:
            self._tone(space, tone, stroke=stroke)

    # Paths

    def paint(self, *, fill: Rule | None = None, stroke: bool = False, close: bool = False) -> None:
        """A painting operator; the clip that was asked for takes effect after it."""
        if close:
            self.trail.close()
        path = self.trail.taken()
        if path.nodes and not self.is_hidden:
            if fill:
                self.canvas.fill(self.spot, path, self.state, rule=fill)
            if stroke:
                self.canvas.stroke(self.spot, path, self.state)
        elif path.nodes and (fill or stroke):
            self.note_hidden(path)
        if self._clip_rule and path.nodes:
            self.clip([(path, self.state.to_page)], self._clip_rule)
        self._clip_rule = None

    def clip_later(self, rule: Rule) -> None:
        """`W` and `W*`."""
        self._clip_rule = rule

    def clip(self, paths: list[tuple[Path, Affine]], rule: Rule) -> None:
        """Narrow the clip."""
        self.state.clip = clipped(self.spot, self.state.clip, paths, rule)

    def shade(self, operands: list[Any]) -> None:
        """`sh`: a shading over all that is clipped to."""
        if self.is_hidden:
            return
        back = inverse(self.state.to_page)
        found = self.resource("Shading", operands)
        box = numbers(entry(found, "/BBox"))
        if back is None:
            return
        x0, y0, x1, y1 = box if len(box) == 4 else moved_box(self.state.clip.box, back)
        trail = Trail()
        trail.rectangle(x0, y0, x1 - x0, y1 - y0)
        tone = shading_tone(found, entry(self.resources, "/ColorSpace"))
        state = copy.copy(self.state)
        state.fill = Paint(state.fill.space, tone, state.fill.alpha)
        self.canvas.fill(self.spot, trail.taken(), state)

    # Objects from outside the stream

    def resource(self, kind: str, operands: list[Any]) -> Any:  # noqa: ANN401  an object of the file
        """The object that the last operand names among the resources."""
        named = operands[-1] if operands and isinstance(operands[-1], Named) else ""
        return entry(entry(self.resources, f"/{kind}"), f"/{named}")

    def draw(self, operands: list[Any]) -> None:
        """`Do`: a form is run, an image refused."""
        found = self.resource("XObject", operands)
        kind = name(entry(found, "/Subtype"))
        if not isinstance(found, pikepdf.Stream) or kind not in ("Form", "Image"):
            self.log.note("broken-reference", self.spot, what=str(operands[-1])[:40] if operands else "")
            return
        hidden = self.is_hidden or self._layers.hides(entry(found, "/OC"))
        if hidden:
            self.note_hidden(_UNIT)
        elif kind == "Image":
            self.refuse_image()
        else:
            self.form(found, str(operands[-1]))

    def refuse_image(self) -> None:
        """Pixels have no outline; they fill the unit square."""
        if self.is_hidden:
            self.note_hidden(_UNIT)
            return
        self.log.refuse("raster-image", self.spot)
        self.log.shown(self.spot, [Shape(self.spot, _UNIT, self.state.to_page)])

    def form(self, found: pikepdf.Stream, named: str) -> None:
        """A form: its matrix, its box as a clip, its own resources; a group keeps its opacity to itself."""
        key = identity(found)
        if key in self._running:
            self.log.note("use-cycle", self.spot, what=named[:40])
            return
        keep_within("forms", len(self._running) + 1, element=self.spot.place)
        with self._apart(key):
            self._form(found, f"{self.path}/{named[:40]}")

    def _form(self, found: pikepdf.Stream, path: str) -> None:
        self.concatenate(affine(entry(found, "/Matrix")))
        box = numbers(entry(found, "/BBox"))
        if len(box) == 4:
            self.trail.rectangle(box[0], box[1], box[2] - box[0], box[3] - box[1])
            self.clip([(self.trail.taken(), self.state.to_page)], "nonzero")
        if entry(found, "/Group") is not None:
            self._as_group()
        own = entry(found, "/Resources")
        self.run(self._content(found), self.resources if own is None else own, path=path)

    def glyph_procedure(self, font: Font, code: int, to_user: Affine) -> None:
        """A glyph of Type 3: a stream of its own, in the space of its font."""
        found = entry(font.procedures, f"/{font.named.get(code, '')}")
        if not isinstance(found, pikepdf.Stream) or self.is_hidden:
            return
        key = identity(found)
        if key in self._running:
            self.log.note("use-cycle", self.spot, what="a glyph")
            return
        keep_within("forms", len(self._running) + 1, element=self.spot.place)
        spot, resources = self.spot, font.resources or self.resources
        with self._apart(key):
            self.concatenate(to_user)
            self.state.text = TextState()
            self.run(self._content(found), resources, path=f"{self.path}/glyph")
        self.spot = spot

    def _content(self, found: pikepdf.Stream) -> bytes:
        self.budget.form()
        data = readable(found)
        if data is None:
            self.log.note("stream-unread", self.spot)
        return data or b""

    def uncoloured(self) -> None:
        """`d1`: what follows takes the colour of the text."""
        self.state.stroke = self.state.fill
        self.state.coloured = False

    @contextmanager
    def _apart(self, key: object) -> Iterator[None]:
        """State, path and text of their own, for what is drawn within."""
        outer, trail, rule, text = self.state, self.trail, self._clip_rule, self.text
        self.state, self.trail, self._clip_rule, self.text = copy.copy(outer), Trail(), None, Text(self)
        self._running.append(key)
        yield
        self._running.pop()
        self.state, self.trail, self._clip_rule, self.text = outer, trail, rule, text

    def _as_group(self) -> None:
        state = self.state
        if state.blend not in ("Normal", "Compatible"):
            self.log.note("blend-ignored", self.spot, what=f"a group in {state.blend}"[:40])
        state.group_alpha *= state.fill.alpha
        state.fill, state.stroke = replace(state.fill, alpha=1.0), replace(state.stroke, alpha=1.0)

    # Marked content

    def mark(self, operands: list[Any]) -> None:
        """`BDC`: content that may belong to a layer."""
        properties = operands[-1] if operands else None
        if isinstance(properties, Named):
            properties = self.resource("Properties", operands)
        of_layer = len(operands) > 1 and name(operands[0]) == "OC"
        self._hidden.append(of_layer and self._layers.hides(properties))

    def unmark(self) -> None:
        """`EMC`."""
        if len(self._hidden) > 1:
            self._hidden.pop()

    def note_hidden(self, path: Path) -> None:
        """Say that a layer is off which would have shown something."""
        self.log.note("hidden-layer", self.spot)
        self.log.shown(self.spot, [Shape(self.spot, path, self.state.to_page)])
