"""The words are held to the code: what README and DEVELOPERS name is there, what the code names is explained."""

from __future__ import annotations

import ast
import re

import pytest

from house import ROOT, SERVICE, tracked_files, tree_of
from stampwright.artwork.limits import LIMITS
from stampwright.artwork.notices import REMARKS
from stampwright.web import SETTINGS

README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "service", "sdk", "tests", "openapi.yaml", "Dockerfile"}
A_PATH = r"`((?:service|sdk|tests|\.ci)/[\w./-]*|[\w-]+\.(?:md|toml|yaml)|Dockerfile)`"


def finding_codes():
    """The code of every finding that is made anywhere; all are written out where they are made."""
    for path in SERVICE.rglob("*.py"):
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "too_narrow":
                yield ast.literal_eval(node.args[1])
            elif isinstance(node, ast.Call) and ast.unparse(node.func) == "Finding":
                named = {keyword.arg: keyword.value for keyword in node.keywords}
                if ast.unparse(named["code"]) != "code":  # as `too_narrow` hands it on
                    yield ast.literal_eval(named["code"])


def test_the_readme_explains_exactly_the_findings_there_are():
    explained = re.findall(r"^\| `([a-z-]+)` \|", section("What the report finds"), re.MULTILINE)
    assert sorted(explained) == sorted(set(finding_codes()))


def notice_codes():
    """The code of every notice: those of the reader's table, and those written out where they are made."""
    yield from REMARKS
    for path in SERVICE.rglob("*.py"):
        for node in ast.walk(tree_of(path)):
            if (
                isinstance(node, ast.Call)
                and ast.unparse(node.func) == "Notice"
                and isinstance(node.args[0], ast.Constant)
            ):
                yield node.args[0].value


def test_the_readme_explains_exactly_the_notices_there_are():
    explained = re.findall(r"^\| `([a-z-]+)` \|", section("How the drawing is read"), re.MULTILINE)
    assert sorted(explained) == sorted(set(notice_codes()))


@pytest.mark.parametrize("name", [f"STAMPWRIGHT_{setting.name.upper()}" for setting in SETTINGS])
def test_the_readme_names_every_setting(name):
    assert f"`{name}`" in README


@pytest.mark.parametrize("limit", LIMITS.values(), ids=list(LIMITS))
def test_the_readme_tells_every_limit_of_a_drawing_as_it_is(limit):
    assert f"| `{limit.code}` | {limit.most:,.8g} | {limit.what} | {limit.why} |" in README


@pytest.mark.parametrize("setting", SETTINGS, ids=lambda setting: setting.name)
def test_the_readme_tells_unit_and_reason_of_every_setting(setting):
    (row,) = re.findall(rf"^\| `STAMPWRIGHT_{setting.name.upper()}` \|.*$", README, re.MULTILINE)
    plain = row.replace("`", "")
    assert f"| {setting.metadata['unit']} | {setting.metadata['why']} |" in plain


def test_the_lead_in_the_brass_is_told_alike_everywhere():
    said = re.findall(r"([\d.]+ to [\d.]+) % lead", README)
    for path in SERVICE.rglob("cautions.csv"):
        said += re.findall(r"([\d.]+ to [\d.]+) % lead", path.read_text(encoding="utf-8"))
    assert len(said) == 3
    assert len(set(said)) == 1


def section(title):
    """Text of the README's section of this title."""
    return README.split(f"## {title}\n", 1)[1].split("\n## ", 1)[0]


def test_the_top_level_is_exactly_what_was_agreed():
    assert {name.split("/")[0] for name in tracked_files() if not name.startswith(".")} == TOP


@pytest.mark.parametrize("path", sorted(set(re.findall(A_PATH, DEVELOPERS))))
def test_a_path_named_in_developers_exists(path):
    assert (ROOT / path).exists()


@pytest.mark.parametrize("path", sorted(set(re.findall(A_PATH, README))))
def test_a_path_named_in_the_readme_exists(path):
    assert (ROOT / path).exists()


def test_the_readme_starts_with_exactly_two_commands():
    first_block = re.search(r"```sh\n(.*?)```", README, re.DOTALL)[1]
    assert first_block.splitlines() == ["python3 service", "python3 tests"]


@pytest.mark.parametrize("link", sorted(set(re.findall(r"\]\(([^)#:]+)\)", README + DEVELOPERS))))
def test_a_link_leads_somewhere(link):
    assert (ROOT / link).exists()
