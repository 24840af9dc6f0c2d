"""Whether to ask again, and after how long. Pure: no clock, no chance, no network in here."""

from __future__ import annotations

from datetime import UTC, datetime

WORTH_REPEATING = frozenset({429, 502, 503, 504})
"""Answers that another moment may change. The service keeps nothing and its answers are deterministic, therefore
repeating a POST is safe; a refusal of the mark or the job would only be repeated."""

FIRST_PAUSE_S = 0.25
LONGEST_PAUSE_S = 8.0
SPREAD = 0.25  # a crowd that was told the same Retry-After shall not come back at the same moment


def wait_before_retry(  # noqa: PLR0913  each is a number that the rule depends on
    tries: int,
    *,
    status: int | None,
    retry_after_s: float | None,
    elapsed_s: float,
    retries: int,
    max_wait_s: float,
    dice: float,
) -> float | None:
    """Seconds to wait before the next try, or None to give up.

    `tries` have been made, the first `elapsed_s` ago; `status` None: no answer came; `dice` is a number in [0, 1).
    The wait is what the service asked for and up to a quarter more, else chance over a range that doubles each time.
    Gives up after `retries` repetitions, and when the next one would begin later than `max_wait_s` after the first.
    """
    if tries > retries or (status is not None and status not in WORTH_REPEATING):
        return None
    if retry_after_s is None:
        pause = min(FIRST_PAUSE_S * 2.0 ** (tries - 1), LONGEST_PAUSE_S) * dice
    else:
        pause = retry_after_s * (1.0 + SPREAD * dice)
    return pause if elapsed_s + pause <= max_wait_s else None


def seconds_in(retry_after: str | None, *, now: datetime) -> float | None:
    """Seconds that a Retry-After header asks for, as number or as HTTP date (RFC 9110, 10.2.3); None when neither."""
    text = (retry_after or "").strip()
    if not text:
        return None
    if text.isascii() and text.isdecimal():
        return float(text)
    from email.utils import parsedate_to_datetime  # noqa: PLC0415  dates are rare, and this loads half of `email`

    try:
        moment = parsedate_to_datetime(text)
    except ValueError:
        return None
    if moment.tzinfo is None:  # "-0000" and dates without a zone; HTTP dates are in UTC
        moment = moment.replace(tzinfo=UTC)
    return max((moment - now).total_seconds(), 0.0)
