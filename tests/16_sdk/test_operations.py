"""The client mirrors the contract: a method for each operation, a field for each property, a class for each problem."""

from __future__ import annotations

import dataclasses
import inspect
import types
import typing

import pytest
import yaml

import stampwright_sdk
from house import ROOT
from stampwright_sdk import answers, catalogue, errors, parts, work

CONTRACT = yaml.safe_load((ROOT / "openapi.yaml").read_text(encoding="utf-8"))
COMPONENTS = CONTRACT["components"]["schemas"]
NOT_OPERATIONS = {"base_url", "close", "fetch_bundle", "give_up", "make_many"}  # the rest is about the calls themselves
OWN_FIELDS = {"raw", "body", "request_id"}  # of the client, not of the answer
OTHERWISE_NAMED = {"ReviewedMark": "ReviewAnswer"}
FOR_BROWSERS = {"show_form", "get_form_part", "show_reference"}
FILES = {"Bundle", "DrawingFile", "Made", "SolidFile"}  # bytes and pairs, which no schema describes
RECORDS = [
    kind
    for module in (answers, parts, work, catalogue)
    for name, kind in vars(module).items()
    if inspect.isclass(kind) and kind.__module__ == module.__name__ and name not in FILES
]


def component_of(kind):
    return COMPONENTS[OTHERWISE_NAMED.get(kind.__name__, kind.__name__)]


def is_nullable(schema):
    return "null" in schema.get("type", ()) or {"type": "null"} in schema.get("anyOf", schema.get("oneOf", ()))


def test_every_operation_has_one_method_and_every_method_its_operation():
    operations = [operation["operationId"] for path in CONTRACT["paths"].values() for operation in path.values()]
    methods = {name for name in vars(stampwright_sdk.Client) if not name.startswith("_")} - NOT_OPERATIONS
    assert set(operations) - FOR_BROWSERS == methods


@pytest.mark.parametrize("kind", RECORDS, ids=lambda kind: kind.__name__)
def test_a_record_has_a_field_for_each_property(kind):
    fields = {field.name for field in dataclasses.fields(kind)} - OWN_FIELDS
    assert fields == set(component_of(kind)["properties"])


@pytest.mark.parametrize("kind", RECORDS, ids=lambda kind: kind.__name__)
def test_a_field_may_be_none_where_the_property_may_be_null(kind):
    hints = typing.get_type_hints(kind)
    nullable = {name for name, schema in component_of(kind)["properties"].items() if is_nullable(schema)}
    assert {n for n in hints.keys() - OWN_FIELDS if types.NoneType in typing.get_args(hints[n])} == nullable


def test_every_kind_of_problem_has_its_class():
    (slugs,) = (
        parameter["schema"]["enum"]
        for path in CONTRACT["paths"].values()
        for operation in path.values()
        for parameter in operation.get("parameters", [])
        if parameter["name"] == "slug"
    )
    assert set(slugs) == set(errors.BY_SLUG)


def test_every_class_of_problem_has_its_kind():
    assert set(errors.BY_SLUG.values()) == set(errors.ProblemError.__subclasses__())


def test_all_that_is_offered_can_be_imported():
    assert all(hasattr(stampwright_sdk, name) for name in stampwright_sdk.__all__)
