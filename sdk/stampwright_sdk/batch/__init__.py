"""Many marks: which there are (`orders`), what came of each (`manifest`), and the run over them (`run`).

Standard library alone. `Client.make_many` is the stream without files; the command `stampwright batch` is the run with
a progress bar.
"""

from .manifest import MANIFEST_FILE, Row
from .orders import Order, find_orders
from .run import Batch, Outcome, run_batch

__all__ = ["MANIFEST_FILE", "Batch", "Order", "Outcome", "Row", "find_orders", "run_batch"]
