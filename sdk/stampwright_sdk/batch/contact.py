"""The contact sheets of a batch: forty prints a page, in the order of the marks, beside the manifest."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stampwright_sdk._saving import save

from .manifest import MANIFEST_FILE, read_manifest

if TYPE_CHECKING:
    from pathlib import Path

    from stampwright_sdk.client import Client

    from .run import Batch

A_PAGE = 40
SHOWN = ("UnusableMark", "UnsupportedFormat", "TooComplex", "DoesNotFit")
"""Kinds of failure that have a field on the sheet: those of the mark. A wrong job or an unreadable file has none."""
NAME = "contact-sheet"


def write_contact_sheets(client: Client, batch: Batch) -> list[Path]:
    """Draw and save the sheets of a run that is done; one is `contact-sheet.pdf`, of more each has its number.

    Raises a `StampwrightError`, and OSError when one cannot be written.
    """
    rows = read_manifest(batch.folder / MANIFEST_FILE)
    failed = {name: row.error["kind"] for name, row in rows.items() if row.error}
    orders = [order for order in batch.orders if failed.get(order.name, SHOWN[0]) in SHOWN]
    chunks = [orders[first : first + A_PAGE] for first in range(0, len(orders), A_PAGE)]
    digits = len(str(len(chunks)))
    written = []
    for number, chunk in enumerate(chunks, start=1):
        marks = [(order.name, order.path, order.job) for order in chunk]
        page = client.draw_contact_sheet(marks, fonts=batch.fonts)
        name = f"{NAME}.pdf" if len(chunks) == 1 else f"{NAME}-{number:0{digits}d}.pdf"
        save(batch.folder / name, page.body)
        written.append(batch.folder / name)
    return written
