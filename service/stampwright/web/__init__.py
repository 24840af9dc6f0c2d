"""Stage 13, web: HTTP in, HTTP out; the only place that knows Flask."""

from .app import create_app
from .settings import SETTINGS, Settings

__all__ = ["SETTINGS", "Settings", "create_app"]
