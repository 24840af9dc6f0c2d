"""Stage 15, web: HTTP in, HTTP out; the only place that knows Flask.

What stands behind the door is loaded when it is asked for: whoever starts the service needs the settings a second
before the rest, which takes most of that second to load.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .app import create_app
    from .contract import contract_text
    from .refusals import problem_document
    from .settings import SETTINGS, Settings
    from .start import start

__all__ = ["SETTINGS", "Settings", "contract_text", "create_app", "problem_document", "start"]

_ROOMS = {
    "SETTINGS": "settings",
    "Settings": "settings",
    "contract_text": "contract",
    "create_app": "app",
    "problem_document": "refusals",
}


def __getattr__(name: str) -> Any:  # noqa: ANN401  as the language has it (PEP 562)
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_ROOMS.get(name, name)}"), name)
