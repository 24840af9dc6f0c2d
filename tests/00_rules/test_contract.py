"""The contract is the code: generated, committed, valid OpenAPI 3.1, and kept by the running application."""

from __future__ import annotations

import os
import re
import subprocess
import sys

import pytest
import yaml
from openapi_spec_validator import validate

from house import ROOT
from stampwright.web import contract_text

COMMITTED = (ROOT / "openapi.yaml").read_text(encoding="utf-8")
CONTRACT = yaml.safe_load(COMMITTED)
OPERATIONS = {
    (method.upper(), path): operation
    for path, methods in CONTRACT["paths"].items()
    for method, operation in methods.items()
}
EXAMPLES = [
    (path, name)
    for (method, path), operation in OPERATIONS.items()
    if method == "POST"
    for name in operation["requestBody"]["content"]["application/json"]["examples"]
]


def test_the_committed_contract_is_what_the_code_writes():
    assert contract_text() == COMMITTED


@pytest.mark.parametrize("seed", ["1", "2"])
def test_it_is_written_the_same_whatever_the_order_of_hashing(seed):
    written = subprocess.run(
        [sys.executable, "-m", "stampwright", "contract"],
        env=os.environ | {"PYTHONHASHSEED": seed},
        capture_output=True,
        check=True,
    )
    assert written.stdout.decode() == COMMITTED


def test_it_is_valid_openapi_3_1():
    assert CONTRACT["openapi"].startswith("3.1")
    validate(CONTRACT)


def test_it_names_every_route_of_the_application_and_no_other(app):
    routes = {
        (method, re.sub(r"<(\w+)>", r"{\1}", rule.rule))
        for rule in app.url_map.iter_rules()
        for method in rule.methods - {"HEAD", "OPTIONS"}
    }
    assert set(OPERATIONS) == routes


@pytest.mark.parametrize(("path", "name"), EXAMPLES)
def test_every_example_is_accepted(app, path, name):
    examples = OPERATIONS["POST", path]["requestBody"]["content"]["application/json"]["examples"]
    answer = app.test_client().post(path, json=examples[name]["value"])
    assert answer.status_code == 200, answer.get_data(as_text=True)


@pytest.mark.parametrize("schema", CONTRACT["components"]["schemas"])
def test_every_field_says_what_it_holds(schema):
    fields = CONTRACT["components"]["schemas"][schema]["properties"]
    assert [name for name, field in fields.items() if not field.get("description")] == []


def test_no_answer_is_described_by_a_default():  # it would make every undocumented status a documented one
    assert not any("default" in operation["responses"] for operation in OPERATIONS.values())


@pytest.mark.parametrize("operation", OPERATIONS.values(), ids=lambda operation: operation["operationId"])
def test_who_is_turned_away_for_a_while_is_told_when_to_come_back(operation):
    """RFC 9110, 10.2.3, for 503; RFC 6585, 4, for 429."""
    for status in operation["responses"].keys() & {"429", "503"}:
        response = operation["responses"][status]
        if "$ref" in response:
            response = CONTRACT["components"]["responses"][response["$ref"].rpartition("/")[2]]
        assert "Retry-After" in response["headers"]
