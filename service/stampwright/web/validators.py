"""What lets a caller check and keep an answer: a strong validator (RFC 9110) and the digest of its bytes (RFC 9530)."""

from __future__ import annotations

import base64
import hashlib
from typing import TYPE_CHECKING

from flask import request

if TYPE_CHECKING:
    from flask import Response


def validated(response: Response) -> Response:
    """Give `response` its ETag and Repr-Digest; a GET that names the ETag gets 304 and no body."""
    seal = hashlib.sha256(response.get_data()).digest()
    response.set_etag(seal.hex()[:32])  # the same bytes, the same validator: a strong one
    response.headers["Repr-Digest"] = f"sha-256=:{base64.b64encode(seal).decode()}:"
    if request.method in {"GET", "HEAD"}:
        response.make_conditional(request)  # a POST is work to be done, whatever its caller holds
    return response
