"""The whole contract, fuzzed: what is asked within it and beyond it is answered as it says.

`STAMPWRIGHT_TEST_EXAMPLES=1000 python3 tests tests/15_web/test_contract_fuzzed.py` is the long run.
"""

from __future__ import annotations

import os

import pytest
import schemathesis
import yaml
from hypothesis import HealthCheck, given, settings
from schemathesis.specs.openapi.checks import positive_data_acceptance

from stampwright.web import contract_text, create_app

EXAMPLES = int(os.environ.get("STAMPWRIGHT_TEST_EXAMPLES", "25"))
CONTRACT = schemathesis.openapi.from_dict(yaml.safe_load(contract_text()))
CONTRACT.app = create_app()
OPERATIONS = [found.ok() for found in CONTRACT.get_all_operations()]
WITHIN = [(operation, schemathesis.GenerationMode.POSITIVE) for operation in OPERATIONS]
BEYOND = [(operation, schemathesis.GenerationMode.NEGATIVE) for operation in OPERATIONS if operation.method == "post"]
UNPACKED = {"Accept-Encoding": "identity"}  # without a wire nobody unpacks
TEXT_IS_NO_DRAWING = [positive_data_acceptance]  # any text fits the schema of a mark, and few are drawings


@pytest.mark.parametrize(("operation", "mode"), WITHIN + BEYOND, ids=lambda given: getattr(given, "label", ""))
def test_an_operation_keeps_the_contract_whatever_is_asked(operation, mode):
    @settings(max_examples=EXAMPLES, suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy(generation_mode=mode))
    def ask(case):
        case.call_and_validate(excluded_checks=TEXT_IS_NO_DRAWING, headers=UNPACKED)

    ask()
