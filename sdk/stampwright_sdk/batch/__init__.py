"""Many marks: which there are (`orders`), what came of each (`manifest`), the run over them (`run`), its sheets.

Standard library alone. `Client.make_many` is the stream without files; the command `stampwright batch` is the run with
a progress bar.
"""

from .contact import write_contact_sheets
from .manifest import MANIFEST_FILE, Row
from .orders import Order, find_orders
from .run import Batch, Outcome, run_batch

__all__ = ["MANIFEST_FILE", "Batch", "Order", "Outcome", "Row", "find_orders", "run_batch", "write_contact_sheets"]
