"""Words that agree with their numbers."""

from __future__ import annotations


def numbered(count: int, one: str, more: str = "") -> str:
    """A count and what is counted, in the singular or the plural: `more`, or `one` with an s.

    >>> numbered(1, "place"), numbered(0, "place"), numbered(2, "helix", "helices")
    ('1 place', '0 places', '2 helices')
    """
    return f"{count} {one if count == 1 else more or one + 's'}"
