"""Each stage leans only on stages before it, and enters them by their door."""

from __future__ import annotations

import ast
from typing import TYPE_CHECKING

import pytest

from house import SDK, SERVICE, named, tree_of
from stampwright import STAGES

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

OPEN_HOUSE = {"base"}  # a word list of many modules: each may be asked for by name
KNOWS_FLASK = {"web"}


def stage_of(path: Path) -> str:
    return path.relative_to(SERVICE).with_suffix("").parts[0]


def imported(path: Path) -> Iterator[str]:
    """Full names of the modules `path` imports, also those for type checkers only; relative ones made absolute."""
    package = ["stampwright", *path.relative_to(SERVICE).parent.parts]
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else []
            module = ".".join([*above, *(node.module or "").split(".")]).strip(".")
            # "from stampwright import pipeline" names a stage behind the `import`
            yield from (f"{module}.{alias.name}" for alias in node.names if module == "stampwright")
            yield module


def uses() -> Iterator[tuple[str, str, str]]:
    """(file, its stage, module of another stage that it imports)."""
    for path in sorted(SERVICE.rglob("*.py")):
        for module in imported(path):
            used = module.split(".")
            if used[0] == "stampwright" and used[1:2] and used[1] in STAGES and used[1] != stage_of(path):
                yield named(path), stage_of(path), module


USES = sorted(set(uses()))


def test_the_stages_are_the_folders_of_the_service():
    found = {stage_of(path) for path in SERVICE.rglob("*.py")} - {"__init__", "__main__"}
    assert found == set(STAGES)


def test_the_imports_between_stages_are_seen_at_all():
    assert ("service/stampwright/pipeline.py", "pipeline", "stampwright.artwork") in USES


@pytest.mark.parametrize(("file", "stage", "module"), [use for use in USES if use[1] != "__main__"])
def test_a_stage_leans_only_on_stages_before_it(file, stage, module):
    assert STAGES.index(module.split(".")[1]) < STAGES.index(stage), f"{file} imports {module}"


@pytest.mark.parametrize(("file", "stage", "module"), [use for use in USES if use[2].split(".")[1] not in OPEN_HOUSE])
def test_a_stage_is_entered_by_its_door(file, stage, module):
    assert module.count(".") == 1, f"{file} ({stage}) reaches behind the door of {module}"


@pytest.mark.parametrize("path", sorted(SERVICE.rglob("*.py")), ids=named)
def test_only_the_web_knows_flask(path):
    assert stage_of(path) in KNOWS_FLASK or not {"flask", "werkzeug"} & {name.split(".")[0] for name in imported(path)}


@pytest.mark.parametrize("path", sorted(SDK.rglob("*.py")), ids=named)
def test_the_sdk_never_imports_the_service(path):
    names = [node.module or "" for node in ast.walk(tree_of(path)) if isinstance(node, ast.ImportFrom)]
    names += [alias.name for node in ast.walk(tree_of(path)) if isinstance(node, ast.Import) for alias in node.names]
    assert "stampwright" not in {name.split(".")[0] for name in names}
