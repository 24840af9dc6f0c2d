"""The place of a request in a caller's trace (W3C Trace Context), so that both logs can be laid side by side."""

from __future__ import annotations

import re

# version 00 as written; a later one may carry more (section 3.2.2); ff, a zero trace and a zero parent are not valid
FORM = re.compile(r"(?!ff)([0-9a-f]{2})-(?!0{32})([0-9a-f]{32})-(?!0{16})([0-9a-f]{16})-[0-9a-f]{2}(-.*)?")


def trace_of(traceparent: str) -> dict[str, str]:
    """Ids of the trace and of the caller's span; nothing when the header is not valid, as the standard asks."""
    found = FORM.fullmatch(traceparent)
    if not found or (found[1] == "00" and found[4]):
        return {}
    return {"trace_id": found[2], "parent_id": found[3]}
