"""What a caller asks for beside the mark. Everything in mm, °C, seconds; the wire's inches end in `read.py`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from stampwright.base.tolerances import CHORD_MM
from stampwright.catalogue import DEFAULT_RACK, Cutter

InkRule = Literal["dark", "painted", "light"]
DrawingUnit = Literal["mm", "in"]
DeclaredKind = Literal["svg", "pdf", "dxf", "other"]
SolidKind = Literal["as_drawn", "as_cut"]


@dataclass(frozen=True, slots=True)
class ArtworkChoice:
    """How the drawing is read. `ignore`: notice codes that shall not refuse; `unit`: of a DXF, None: its own word.

    `declared`: what the sender says the drawing is. Its content decides, and a notice tells where that is another.
    """

    ink: InkRule = "dark"
    ignore: frozenset[str] = frozenset()
    chord_mm: float = CHORD_MM
    unit: DrawingUnit | None = None
    declared: DeclaredKind | None = None


@dataclass(frozen=True, slots=True)
class Head:
    """The metal block. A round head has equal width and height and no corner radius.

    `edge_break_mm` is the chamfer of 45 degrees round its back, along the face and along the side; 0: none.
    """

    shape: Literal["rectangle", "round"] = "rectangle"
    width_mm: float = 38.0
    height_mm: float = 28.0
    thickness_mm: float = 19.0
    corner_radius_mm: float = 1.5
    edge_break_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Placement:
    """Where the ink comes to lie; "sized" means that `width_mm` or `height_mm` gives that measure of the ink's box."""

    fit: Literal["contain", "actual_size", "sized"] = "contain"
    width_mm: float | None = None
    height_mm: float | None = None
    margin_mm: float = 2.0
    turn_deg: float = 0.0
    reverse: bool = True


@dataclass(frozen=True, slots=True)
class Relief:
    """Height of the lands above the floor; None: chosen from the substrate."""

    height_mm: float | None = None
    draft_deg: float = 0.0
    thicken: bool = False


@dataclass(frozen=True, slots=True)
class Limits:
    """Least land and gap, the edge move that still counts as faithful, and the share of the outline that must be."""

    land_mm: float = 0.5
    gap_mm: float = 0.5
    deviation_mm: float = 0.1
    faithful: float = 0.9


@dataclass(frozen=True, slots=True)
class ThreadChoice:
    """Thread and tap of the hole in the back, by catalogue key."""

    size: str = "1/4-20 UNC"
    tap: str = "bottoming"


@dataclass(frozen=True, slots=True)
class Machine:
    """What the mill bears. `max_force_n` is common practice for a light mill, no source."""

    max_rpm: float = 24000.0
    max_feed_mm_per_min: float = 1500.0
    rapid_mm_per_min: float = 1500.0
    lift_mm_per_min: float = 600.0
    spindle_power_w: float = 200.0
    max_force_n: float = 20.0
    runout_mm: float = 0.01
    tool_change_min: float = 2.0


@dataclass(frozen=True, slots=True)
class Rod:
    """The rod between head and handle; None: chosen by the plan."""

    material: str = "steel-1018"
    diameter_mm: float | None = None
    bare_length_mm: float | None = None


@dataclass(frozen=True, slots=True)
class UseChoice:
    """How the iron will be heated. `torch_w` None: a hand torch of 150 g/h propane."""

    torch_w: float | None = None
    torch_share: float = 0.15
    rod: Rod = field(default_factory=Rod)
    handling_s: float = 15.0


@dataclass(frozen=True, slots=True)
class Rates:
    """What the shop charges; only if a price is wanted."""

    currency: str = "EUR"
    per_hour: float = 45.0
    setup: float = 20.0
    metal_per_kg: float = 14.0


@dataclass(frozen=True, slots=True)
class Job:
    """The whole request beside the mark; `Job()` is a sensible 38 x 28 mm brass head for white oak."""

    name: str = ""  # what the papers call it; a stranger's words
    artwork: ArtworkChoice = field(default_factory=ArtworkChoice)
    head: Head = field(default_factory=Head)
    placement: Placement = field(default_factory=Placement)
    relief: Relief = field(default_factory=Relief)
    limits: Limits = field(default_factory=Limits)
    thread: ThreadChoice | None = field(default_factory=ThreadChoice)
    metal: str = "brass-c36000"
    substrate: str = "oak-white"
    cutters: tuple[Cutter, ...] = DEFAULT_RACK
    machine: Machine = field(default_factory=Machine)
    solid: SolidKind = "as_drawn"
    use: UseChoice = field(default_factory=UseChoice)
    rates: Rates | None = None
