"""Functions of numbers: sampled, exponential, stitched (ISO 32000-1, 7.10). Calculators in PostScript are not read."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from .objects import entry, items, number, numbers, unpacked, whole

if TYPE_CHECKING:
    from collections.abc import Callable

    Function = Callable[[list[float]], list[float]]

_MOST_INPUTS = 4  # corners of a cell of samples double with each
_MOST_NESTED = 8
_MOST_SAMPLES = 1_000_000


def function_of(found: object, *, depth: int = 0) -> Function | None:
    """A function from its object, or from an array of one-valued ones; None when it is not read."""
    if depth > _MOST_NESTED:
        return None
    if (several := items(found)) and depth == 0:
        parts = [function_of(each, depth=1) for each in several[:32]]
        known = [part for part in parts if part is not None]
        return (
            (lambda values: [one for part in known for one in part(values)[:1]]) if len(known) == len(parts) else None
        )
    kind = entry(found, "/FunctionType")
    inner = None if kind is None else _made(whole(kind), found, depth)
    if inner is None:
        return None
    domain, span = _pairs(numbers(entry(found, "/Domain"))), _pairs(numbers(entry(found, "/Range")))
    if not domain:
        return None
    return lambda values: _clipped(inner(_clipped(values, domain)), span)


def _made(kind: int, found: object, depth: int) -> Function | None:
    if kind == 0:
        return _sampled(found)
    if kind == 2:
        return _exponential(found)
    return _stitched(found, depth) if kind == 3 else None


def _pairs(flat: list[float]) -> list[tuple[float, float]]:
    return list(zip(flat[::2], flat[1::2], strict=False))


def _clipped(values: list[float], bounds: list[tuple[float, float]]) -> list[float]:
    if not bounds:
        return values
    return [min(max(value, low), high) for value, (low, high) in zip(values, bounds, strict=False)]


def _between(value: float, low: float, high: float, to: tuple[float, float]) -> float:
    """Linear from low..high to a range; its start when there is no way between."""
    return to[0] if high == low else to[0] + (value - low) * (to[1] - to[0]) / (high - low)


def _exponential(found: object) -> Function:
    at_0 = numbers(entry(found, "/C0")) or [0.0]
    at_1 = numbers(entry(found, "/C1")) or [1.0]
    power = number(entry(found, "/N"), 1.0)

    def exponential(values: list[float]) -> list[float]:
        x = values[0] if values else 0.0
        grown = x if power == 1 else math.pow(max(x, 0.0), power) if x > 0 or power > 0 else 0.0
        return [a + grown * (b - a) for a, b in zip(at_0, at_1, strict=False)]

    return exponential


def _stitched(found: object, depth: int) -> Function | None:
    parts = [function_of(each, depth=depth + 1) for each in items(entry(found, "/Functions"))[:64]]
    known = [part for part in parts if part is not None]
    domain = numbers(entry(found, "/Domain"))[:2]
    inner = numbers(entry(found, "/Bounds"))
    encode = _pairs(numbers(entry(found, "/Encode")))
    if not known or len(known) != len(parts) or len(domain) != 2 or len(encode) < len(known):
        return None
    knots = [domain[0], *inner[: len(known) - 1], domain[1]]
    if len(knots) != len(known) + 1:
        return None

    def stitched(values: list[float]) -> list[float]:
        x = values[0] if values else 0.0
        place = next((i for i in range(len(known) - 1) if x < knots[i + 1]), len(known) - 1)
        return known[place]([_between(x, knots[place], knots[place + 1], encode[place])])

    return stitched


def _sampled(found: object) -> Function | None:
    """Samples on a grid, linear between them in every direction."""
    sizes = [whole(size) for size in items(entry(found, "/Size"))]
    bits = whole(entry(found, "/BitsPerSample"))
    domain, span = _pairs(numbers(entry(found, "/Domain"))), _pairs(numbers(entry(found, "/Range")))
    width = len(span)
    if not sizes or len(sizes) > _MOST_INPUTS or min(sizes) < 1 or bits not in (1, 2, 4, 8, 12, 16, 24, 32):
        return None
    if not span or len(domain) < len(sizes) or math.prod(sizes) * width > _MOST_SAMPLES:
        return None
    data = unpacked(found)
    if len(data) * 8 < math.prod(sizes) * width * bits:
        return None
    encode = _pairs(numbers(entry(found, "/Encode"))) or [(0.0, size - 1.0) for size in sizes]
    decode = _pairs(numbers(entry(found, "/Decode"))) or span
    if len(encode) < len(sizes) or len(decode) < width:
        return None
    strides = [math.prod(sizes[:i]) * width for i in range(len(sizes))]
    most = float(2**bits - 1)

    def sampled(values: list[float]) -> list[float]:
        if len(values) < len(sizes):
            return [low for low, _ in span]
        places = [
            min(max(_between(value, *domain[i], encode[i]), 0.0), sizes[i] - 1.0)
            for i, value in enumerate(values[: len(sizes)])
        ]
        out = [0.0] * width
        for corner in itertools.product((0, 1), repeat=len(sizes)):
            weight = math.prod(p % 1 if up else 1 - p % 1 for p, up in zip(places, corner, strict=True))
            if weight > 0:
                first = sum((int(p) + up) * stride for p, up, stride in zip(places, corner, strides, strict=True))
                for j in range(width):
                    out[j] += weight * _sample(data, first + j, bits)
        return [_between(value, 0.0, most, decode[j]) for j, value in enumerate(out)]

    return sampled


def _sample(data: bytes, index: int, bits: int) -> int:
    """One sample of a stream in which they lie bit to bit."""
    first = index * bits
    last = first + bits
    held = int.from_bytes(data[first // 8 : -(-last // 8)], "big")
    return (held >> (-last % 8)) & ((1 << bits) - 1)
