"""The examples of the contract. Each is sent to the running application by a test."""

from __future__ import annotations

from typing import Any

MARK = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 20" width="30mm" height="20mm">'
    '<path d="M2 2h10v4H7v3h4v4H7v5H2z"/><circle cx="21" cy="10" r="7"/></svg>'
)
"""An F beside a disc: the F shows whether the face is reversed."""

JOB: dict[str, Any] = {
    "units": "in",
    "head": {"shape": "round", "diameter": 1.5, "thickness": 0.75},
    "placement": {"fit": {"width": 1.0}, "margin": 0.1},
    "substrate": "oak-white",
}

BUSY_MACHINE: dict[str, Any] = {
    "head": {"width": 50, "height": 40},
    "relief": {"height": 1.2, "draft_deg": 0},
    "cutters": [
        "flat-3.175",
        {
            "key": "shop-1.2",
            "shape": "flat",
            "diameter": 1.2,
            "flutes": 2,
            "length_of_cut": 4,
            "shank": 3.175,
            "overhang": 14,
        },
    ],
    "machine": {"max_rpm": 18000, "max_feed": 1200},
    "rates": {"currency": "EUR", "per_hour": 45, "setup": 20, "metal_per_kg": 14},
}
