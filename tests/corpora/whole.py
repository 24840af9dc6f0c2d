"""Every drawing of a corpus through reading, layout and review: none may crash, every area keeps its promises."""

import time
from typing import NamedTuple

import shapely
from compare import IGNORED

from stampwright.artwork import faults
from stampwright.base import StampwrightError
from stampwright.base.tolerances import GRID_PER_MM, SLIVER_MM2
from stampwright.job import ArtworkChoice, Job
from stampwright.pipeline import review_mark
from stampwright.plane import count_pinches, count_slivers

JOB = Job(artwork=ArtworkChoice(ignore=IGNORED))


class Outcome(NamedTuple):
    """What came of one drawing."""

    name: str
    seconds: float
    refused: str | None = None
    crash: str | None = None
    faults: tuple[str, ...] = ()


def outcome(name, data):
    """Review a drawing on the usual head; whatever goes wrong is told, not raised."""
    start = time.perf_counter()
    try:
        reviewed = review_mark(data, JOB)
    except StampwrightError as refusal:
        code = refusal.refusals[0].code
        inside = type(refusal).__name__ == "InternalFault"
        return Outcome(name, time.perf_counter() - start, None if inside else code, repr(refusal) if inside else None)
    except Exception as crash:  # noqa: BLE001  a crash of any kind is what is looked for
        return Outcome(name, time.perf_counter() - start, crash=repr(crash)[:300])
    seconds = time.perf_counter() - start
    return Outcome(name, seconds, faults=(*faults(reviewed.mark), *broken(reviewed.face.ink)))


def broken(ink):
    """Promises of the ink on a face that do not hold."""
    xy = shapely.get_coordinates(ink) * GRID_PER_MM
    kept = {
        "valid": shapely.is_valid(ink),
        "on the grid": bool((xy == xy.round()).all()),
        f"without pieces below {SLIVER_MM2} mm²": count_slivers(ink) == 0,
        "without pinches": count_pinches(ink) == 0,
    }
    return [f"not {promise}" for promise, holds in kept.items() if not holds]
