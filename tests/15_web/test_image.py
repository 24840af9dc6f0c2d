"""The image, as far as its recipe tells: where these tests run there is no base to build it on.

Built by hand with buildah 1.28 on a bare Debian 12 with its own Python 3.11, and run on a read-only root as nobody,
without a capability: fifteen marks, each as bundle, 3MF, DXF, pictures and sheet, its check of health, SIGTERM.
"""

import json
import re
import sys
import tomllib
from pathlib import Path

import pytest

from house import ROOT
from programs import run

RECIPE = (ROOT / "Dockerfile").read_text(encoding="utf-8").replace("\\\n", " ")
STEPS = [line.split(None, 1) for line in RECIPE.splitlines() if line and not line.startswith("#")]


def steps(name):
    return [text for word, text in STEPS if word == name]


def pins(lock):
    text = (ROOT / "service" / lock).read_text(encoding="utf-8")
    return set(re.findall(r"^([\w.-]+==[^ ;\\]+)", text, re.MULTILINE))


def test_the_image_is_built_in_two_stages_from_a_base_that_is_named_exactly():
    assert steps("FROM") == ["${BASE} AS build", "${BASE}"]
    (base,) = steps("ARG")
    assert re.fullmatch(r"BASE=python:3\.\d+-slim-\w+", base)


def test_the_service_runs_as_nobody():
    assert steps("USER") == ["65534:65534"]


def test_the_service_is_process_one_so_that_a_stop_signal_reaches_it():
    (command,) = steps("CMD")
    assert json.loads(command)[:4] == ["python", "-m", "stampwright", "serve"]


def test_the_health_of_the_image_is_the_service_s_own():
    (check,) = steps("HEALTHCHECK")
    assert "/healthz" in check


def test_packages_come_by_hash():
    assert any("--require-hashes" in step and "runtime.lock" in step for step in steps("RUN"))


def test_the_image_holds_the_versions_that_are_tested():
    assert pins("runtime.lock") <= pins("requirements.lock")


def test_the_image_holds_every_package_that_the_service_names():
    needed = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    assert {re.split("[>=]", need)[0] for need in needed} <= {pin.split("==")[0] for pin in pins("runtime.lock")}


@pytest.mark.parametrize("tool", ["pytest", "mypy", "ruff", "hypothesis", "trimesh"])
def test_the_image_holds_no_tool_of_the_tests(tool):
    assert not any(pin.startswith(f"{tool}==") for pin in pins("runtime.lock"))


def test_the_wheel_is_built_by_the_tool_that_is_tested():
    (built,) = re.findall(r"hatchling==[\d.]+", " ".join(steps("RUN")))
    assert built in pins("requirements.lock")


def test_the_bill_of_materials_names_every_package_with_its_hashes():
    tool = Path(sys.executable).with_name("cyclonedx-py")
    bill = json.loads(run(tool, "requirements", ROOT / "service/runtime.lock", "--output-reproducible").stdout)
    listed = {f"{part['name']}=={part['version']}" for part in bill["components"]}
    assert pins("runtime.lock") == listed
    assert all(part["externalReferences"][0]["hashes"] for part in bill["components"])
    assert not {"serialNumber", "timestamp"} & (set(bill) | set(bill["metadata"]))  # the same bytes each time
