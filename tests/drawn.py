"""What the property tests draw: in the default suite the same at every run, with `STAMPWRIGHT_TEST_EXAMPLES` set new.

Hypothesis takes the seed of a derandomised test from the test's own source. But it also tries constants that it finds
in the modules loaded so far, ours among them: a changed constant in one stage, or another test that ran before, would
change what is drawn in all. So the default suite tries only the constants that Hypothesis brings along.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings
from hypothesis.internal.conjecture import providers

# No clock decides: neither over an example nor over drawing them.
TIMELESS = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("same", derandomize=True, database=None, **TIMELESS)
settings.register_profile("new", derandomize=False, database=None, print_blob=True, **TIMELESS)


def settle() -> None:
    """Choose what is drawn, once, before any test is loaded."""
    if "STAMPWRIGHT_TEST_EXAMPLES" in os.environ:
        settings.load_profile("new")  # a failure prints what repeats it
        return
    settings.load_profile("same")
    none = providers.Constants()
    providers._get_local_constants = lambda: none  # noqa: SLF001  no setting does it; a test sees that this does
