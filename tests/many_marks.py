"""Many small marks that are all different: a member's cell of a comb each."""

from __future__ import annotations

from pathlib import Path


def cell(number):
    """A hexagon with a hole, its size and turn from the number."""
    radius, hole, turn = 7 + number % 7 / 10, 2 + number % 5 / 4, number * 7 % 60
    corners = "M0-1L.866-.5V.5L0 1-.866.5V-.5z"
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-10 -10 20 20" width="20mm" height="20mm">'
        f'<path transform="rotate({turn}) scale({radius})" d="{corners}"/><circle r="{hole}" fill="#fff"/></svg>'
    )


def write_cells(folder, count):
    """Write so many marks into a folder; returns it."""
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(count):
        (folder / f"cell-{number:05d}.svg").write_text(cell(number))
    return folder


def tree(folder):
    """Every file below a folder by its path in it."""
    folder = Path(folder)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
