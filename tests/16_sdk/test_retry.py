"""The rule of asking again, as plain numbers: no clock, no network, no chance."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stampwright_sdk._retry import seconds_in, wait_before_retry

NOW = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)


USUAL = {"status": 503, "retry_after_s": None, "elapsed_s": 0.0, "retries": 6, "max_wait_s": 30.0, "dice": 0.5}


def wait(tries=1, **changed):
    return wait_before_retry(tries, **(USUAL | changed))


@pytest.mark.parametrize("status", [None, 429, 502, 503, 504])
def test_no_answer_and_passing_trouble_are_asked_again(status):
    assert wait(status=status) is not None


@pytest.mark.parametrize("status", [200, 301, 400, 404, 406, 413, 415, 422, 500])
def test_an_answer_that_would_be_the_same_again_is_final(status):
    assert wait(status=status) is None


def test_pauses_double_from_a_quarter_second_to_eight():
    assert [wait(tries, dice=1.0, retries=9) for tries in range(1, 9)] == [0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 8.0, 8.0]


def test_chance_takes_any_part_of_a_pause():
    assert [wait(3, dice=dice) for dice in (0.0, 0.5, 1.0)] == [0.0, 0.5, 1.0]


def test_what_the_service_asks_for_is_waited_in_full_and_up_to_a_quarter_more():
    assert [wait(retry_after_s=4.0, dice=dice) for dice in (0.0, 1.0)] == [4.0, 5.0]


def test_it_gives_up_after_the_agreed_repetitions():
    assert [wait(tries, retries=2) is None for tries in (1, 2, 3)] == [False, False, True]


def test_no_repetitions_means_none():
    assert wait(retries=0) is None


def test_it_gives_up_when_the_next_try_would_begin_too_late():
    assert wait(retry_after_s=4.0, elapsed_s=27.0, dice=0.0) is None
    assert wait(retry_after_s=3.0, elapsed_s=27.0, dice=0.0) == 3.0


@given(
    tries=st.integers(1, 50),
    elapsed_s=st.floats(0, 100),
    retry_after_s=st.none() | st.floats(0, 1e6),
    dice=st.floats(0, 1, exclude_max=True),
)
def test_a_pause_never_leads_beyond_the_longest_wait(tries, elapsed_s, retry_after_s, dice):
    pause = wait(tries, elapsed_s=elapsed_s, retry_after_s=retry_after_s, dice=dice, retries=50)
    assert pause is None or (pause >= 0 and elapsed_s + pause <= 30.0)


# RFC 9110, 10.2.3: a number of seconds, or a date, of which 5.6.7 gives three forms. All three are its example moment.
@pytest.mark.parametrize(
    "date", ["Sun, 06 Nov 1994 08:49:37 GMT", "Sunday, 06-Nov-94 08:49:37 GMT", "Sun Nov  6 08:49:37 1994"]
)
def test_a_date_is_counted_from_now(date):
    before = datetime(1994, 11, 6, 8, 49, 7, tzinfo=UTC)
    assert seconds_in(date, now=before) == 30.0


def test_a_number_is_seconds():
    assert seconds_in(" 120 ", now=NOW) == 120.0


def test_a_date_that_has_passed_asks_for_nothing():
    late = (NOW - timedelta(hours=1)).strftime("%a, %d %b %Y %H:%M:%S GMT")
    assert seconds_in(late, now=NOW) == 0.0


@pytest.mark.parametrize("junk", [None, "", "soon", "-3", "1.5", "٣", "99 bottles", "Sun, 99 Nov 1994 08:49:37 GMT"])
def test_what_cannot_be_read_asks_for_nothing(junk):
    assert seconds_in(junk, now=NOW) is None
