"""Stage 15, web: HTTP in, HTTP out; the only place that knows Flask."""

from .app import create_app
from .contract import contract_text
from .settings import SETTINGS, Settings

__all__ = ["SETTINGS", "Settings", "contract_text", "create_app"]
