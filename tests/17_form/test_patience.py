"""Slow lines, busy services, browsers that cannot draw solids: the form says how things stand and goes on."""

from __future__ import annotations

import hashlib
import threading

import pytest
import requests

from ordering import Form
from served import HOSTILE, served, until
from stamped import MARKS

STILL = {"offline": False, "latency": 600_000, "downloadThroughput": 60_000, "uploadThroughput": 60_000}
SLOW = STILL | {"latency": 700}
KEY = "a-key-of-the-association"
GIVES_KEY = f"""document.addEventListener("readystatechange",
  () => {{ document.querySelector("iron-order").key = "{KEY}" }}, {{ once: true }})"""  # before scripts of modules run
WITHOUT_GL = "HTMLCanvasElement.prototype.getContext = () => null"  # as a browser does that has no WebGL


@pytest.fixture
def slow_line(browser):
    browser.execute_cdp_cmd("Network.enable", {})
    yield lambda line: browser.execute_cdp_cmd("Network.emulateNetworkConditions", line)
    browser.execute_cdp_cmd("Network.disable", {})


@pytest.fixture(scope="module")
def small():
    """A service of one place and no queue, which answers only those with the key."""
    keys = f"hives:{hashlib.sha256(KEY.encode()).hexdigest()}"
    with served(
        *HOSTILE, wait_for_slots=1, STAMPWRIGHT_SLOTS="1", STAMPWRIGHT_QUEUE="0", STAMPWRIGHT_API_KEYS=keys
    ) as found:
        yield found


def at_start(browser, script):
    """Let a script run in each new page before any other."""
    added = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": script})
    return lambda: browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)


def test_without_the_key_of_the_service_the_form_says_so(browser, small):
    form = Form(browser, small.url)
    browser.get(small.url)
    form.until(lambda: "The order form could not start." in form.read("[role=status]"))


def test_a_busy_service_is_asked_again_until_it_answers(browser, drawn, small, held):
    off = at_start(browser, GIVES_KEY)
    try:
        form = Form(browser, small.url).open()
        neighbour = threading.Thread(target=keep_busy, args=[small, held])
        neighbour.start()
        until(lambda: small.metric("stampwright_slots_busy") == 1)
        form.find("#mark").send_keys(str(drawn("clover.svg", MARKS["clover"].svg)))
        form.until(lambda: "The service is busy; asking again in" in form.read("[role=status]"))
        held.let_go()
        form.until(lambda: form.read(".verdict h2"))
        assert not form.whole().find(".busy").is_displayed()
        neighbour.join()
    finally:
        off()


def keep_busy(service, held):
    files, headers = {"mark": held.mark}, {"Authorization": f"Bearer {KEY}"}
    requests.post(f"{service.url}/v1/solids", files=files, headers=headers, timeout=60)


def test_a_slow_line_shows_progress_and_can_be_cancelled(form, drawn, slow_line):
    form.open()
    slow_line(STILL)  # nothing comes before it is cancelled, however busy the machine is
    form.find("#mark").send_keys(str(drawn("clover.svg", MARKS["clover"].svg)))
    form.until(lambda: form.find("progress").is_displayed())
    form.press("Cancel")
    form.until(lambda: "Cancelled." in form.read("[role=status]"))
    assert not form.find("progress").is_displayed()
    slow_line(SLOW)
    form.after(lambda: form.press("Ask again"))
    assert form.read(".verdict h2")


def test_a_service_that_is_gone_is_said_to_be(form, drawn, browser):
    form.open()
    browser.execute_cdp_cmd("Network.enable", {})
    browser.execute_cdp_cmd("Network.emulateNetworkConditions", SLOW | {"offline": True})
    try:
        form.find("#mark").send_keys(str(drawn("clover.svg", MARKS["clover"].svg)))
        form.until(lambda: "asking again in" in form.read("[role=status]"))
    finally:
        browser.execute_cdp_cmd("Network.disable", {})
    form.until(lambda: form.read(".verdict h2"))


def test_without_webgl_the_shaded_picture_stands_in(form, drawn, browser):
    off = at_start(browser, WITHOUT_GL)
    try:
        form.open().take(drawn("skep.svg", MARKS["skep"].svg)).whole().view("as_drawn")
        form.until(lambda: form.find(".shaded").is_displayed())
        assert form.picture(".shaded").std() > 20
        assert form.find(".shaded").get_attribute("alt")
        assert not form.find("iron-solid").is_displayed()
    finally:
        off()
