"""The path under construction (ISO 32000-1, 8.5.2)."""

from __future__ import annotations

from stampwright.artwork.paths import Path


class Trail:
    """A path as operators lay it, in the user space of its painting."""

    def __init__(self) -> None:
        self.path = Path()
        self._start = (0.0, 0.0)

    def move(self, x: float, y: float) -> None:
        """`m`: begin a subpath."""
        self.path.move(x, y)
        self._start = (x, y)

    def line(self, x: float, y: float) -> None:
        """`l`: a straight line; without a current point, a beginning, as viewers have it."""
        self._begin(x, y)
        self.path.line(x, y)

    def curve(self, x1: float, y1: float, x2: float, y2: float, x: float, y: float) -> None:  # noqa: PLR0913, PLR0917
        """`c`: a cubic."""
        self._begin(x1, y1)
        self.path.cubic(x1, y1, x2, y2, x, y)

    def curve_from_here(self, x2: float, y2: float, x: float, y: float) -> None:
        """`v`: the first control point is the current point."""
        self._begin(x2, y2)
        self.path.cubic(*self.path.nodes[-1], x2, y2, x, y)

    def curve_to_there(self, x1: float, y1: float, x: float, y: float) -> None:
        """`y`: the second control point is the end."""
        self.curve(x1, y1, x, y, x, y)

    def close(self) -> None:
        """`h`: close the subpath; what follows goes on from its start."""
        self.path.end(closed=True)

    def rectangle(self, x: float, y: float, width: float, height: float) -> None:
        """`re`: a closed rectangle."""
        self.move(x, y)
        for corner in ((x + width, y), (x + width, y + height), (x, y + height)):
            self.path.line(*corner)
        self.close()

    def _begin(self, x: float, y: float) -> None:
        """Make sure that a subpath is open: where the closed one began, or here when there was none."""
        if not self.path.open:
            self.move(*(self._start if self.path.nodes else (x, y)))

    def taken(self) -> Path:
        """The finished path; a new one begins."""
        path, self.path = self.path, Path()
        path.end(closed=False)
        return path
