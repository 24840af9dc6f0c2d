"""The commands that leave one drawing or one sheet."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import TYPE_CHECKING, Literal

import click

from .exits import told
from .show import show_saved

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stampwright_sdk import Client

View = Literal["print", "face", "cutting", "plain"]
Paper = Literal["a4", "letter"]
VIEWS: tuple[View, ...] = ("print", "face", "cutting", "plain")
PAPERS: tuple[Paper, ...] = ("a4", "letter")
KINDS: dict[str, Literal["svg", "png"]] = {".svg": "svg", ".png": "png"}
Asked = AbstractContextManager["Client"]


def draw(  # noqa: PLR0913  each is an option of the command
    client: Asked, mark: Path, *, job: Path | None, fonts: Sequence[Path], view: View, out: Path
) -> None:
    """Draw one view into a file whose name says whether it is SVG or PNG."""
    kind = KINDS.get(out.suffix.lower())
    if kind is None:
        raise click.BadParameter(f"must end in {' or '.join(KINDS)}", param_hint="--out")
    with told(), client as service:
        show_saved([service.draw_proof(mark, job, view=view, accept=kind, fonts=fonts).save(out)])


def write(  # noqa: PLR0913  each is an option of the command
    client: Asked, mark: Path, *, job: Path | None, fonts: Sequence[Path], paper: Paper, out: Path
) -> None:
    """Write the shop sheet."""
    with told(), client as service:
        show_saved([service.write_sheet(mark, job, paper=paper, fonts=fonts).save(out)])
