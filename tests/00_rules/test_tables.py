"""Tables keep their numbers honest: a head that says unit, source and date, and a known source in every row."""

from __future__ import annotations

import re

import pytest

from house import SERVICE, named
from stampwright.base import InternalFault
from stampwright.base.sources import SOURCES, cited
from stampwright.base.tables import number, rows

TABLES = sorted(SERVICE.glob("*/data/*.csv"))
DATA = [path for path in TABLES if path.name != "sources.csv"]
ROWS = [(path, row) for path in DATA for row in rows(f"stampwright.{path.parts[-3]}", path.stem)]


def _head(path):
    return [line for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("#")]


def _name(row):
    return next(iter(row.values()))


@pytest.mark.parametrize("path", TABLES, ids=named)
@pytest.mark.parametrize("said", ["unit", "source", "date", "validity"])
def test_the_head_of_a_table_says(path, said):
    assert any(re.match(rf"# {said}: \S", line) for line in _head(path))


@pytest.mark.parametrize("path", TABLES, ids=named)
def test_a_table_begins_with_what_it_holds(path):
    assert re.match(r"# [A-Z].*\.$", path.read_text(encoding="utf-8").splitlines()[0])


@pytest.mark.parametrize(("path", "row"), ROWS, ids=[f"{named(path)}:{_name(row)}" for path, row in ROWS])
def test_a_row_names_works_of_the_bibliography(path, row):  # noqa: ARG001  the path is the test's name
    assert cited(row["source"])


@pytest.mark.parametrize("path", TABLES, ids=named)
def test_no_two_rows_of_a_table_have_the_same_name(path):
    names = [_name(row) for row in rows(f"stampwright.{path.parts[-3]}", path.stem)]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("source", SOURCES.values(), ids=lambda source: source.key)
def test_a_work_says_how_it_was_read_and_where_when_it_was(source):
    assert source.read in {"page", "secondary", "none"}
    assert bool(source.where) == (source.read != "none")


def test_a_key_that_is_not_in_the_bibliography_is_a_defect():
    with pytest.raises(InternalFault, match="unknown-source"):
        cited("density [a-book-nobody-wrote]")


def test_a_text_that_names_no_work_is_a_defect():
    with pytest.raises(InternalFault, match="unknown-source"):
        cited("density, as everybody knows")


@pytest.mark.parametrize(
    "table", ["key,mass,source\nbrass,1,\n", "key,mass,source\nbrass,1,[x],2\n", "key,source\nbrass"]
)
def test_a_row_without_a_source_or_with_cells_to_spare_is_not_loaded(table, tmp_path, monkeypatch):
    (tmp_path / "loose/data").mkdir(parents=True)
    (tmp_path / "loose/__init__.py").touch()
    (tmp_path / "loose/data/loose.csv").write_text(table)
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(InternalFault, match="bad-table"):
        list(rows("loose", "loose"))


def test_an_empty_cell_is_no_number():
    assert number("") is None
    assert number("0") == 0.0
