"""A shop of another origin embeds the form: one script, attributes, and an event for its basket."""

from __future__ import annotations

import json

import pytest
import requests
from selenium.webdriver.common.by import By

from ordering import Form
from stamped import MARKS


@pytest.fixture(scope="module")
def page(browser, shop, service, drawn):  # noqa: ARG001  the service writes the page
    """The shop's page with a mark in it, for one customer after the other."""
    return Form(browser, shop[0]).open("/shop.html").take(drawn("skep.svg", MARKS["skep"].svg)).whole()


def test_a_page_of_another_origin_takes_the_order_into_its_basket(page, browser, service):
    page.press("Put it in the basket")
    (item,) = browser.find_elements(By.CSS_SELECTOR, "#items li")
    order = page.order()
    answer = requests.post(
        f"{service.url}/v1/stamps", json={"mark": MARKS["skep"].svg.decode(), "job": order["job"]}, timeout=60
    ).json()
    assert item.get_attribute("data-digest") == answer["digest"]
    assert f"{answer['price']['total']:.2f} EUR" in item.text
    assert page.console() == []


def test_the_attributes_decide_what_can_be_chosen(page):
    assert [each.text for each in page.all("summary .name")] == ["Block", "Wood and metal", "Relief", "Drawing"]
    woods = [each.get_attribute("value") for each in page.field("What it burns").find_elements(By.TAG_NAME, "option")]
    assert sorted(woods) == ["basswood", "cedar-western-red", "pine-white"]
    assert page.field("What it burns").get_attribute("value") == "pine-white"
    assert page.field("Width, mm").get_attribute("value") == "40"
    assert page.order()["job"]["rates"]["per_hour"] == 42


def test_the_price_list_adds_up(page):
    *items, total = [round(100 * float(cell.text.strip("€"))) for cell in page.all(".bill td")]
    assert sum(items) == total == round(100 * page.order()["price"]["total"])


def test_an_iron_that_will_fail_cannot_be_ordered(page, drawn):
    page.take(drawn("dandelion.svg", MARKS["dandelion"].svg)).whole()
    assert page.order()["verdict"] == "unmakeable"
    assert not page.button("Put it in the basket").is_enabled()


def test_the_script_of_the_page_can_hand_over_a_mark_and_take_a_file(page, browser):
    take = "document.querySelector('iron-order').take(new File([arguments[0]], 'hive.svg'))"
    page.after(lambda: browser.execute_script(take, MARKS["queen"].svg.decode()))
    fetch = (
        "const done = arguments[0];"
        "document.querySelector('iron-order').fetchFile('stl').then((blob) => done([blob.type, blob.size]))"
    )
    media, size = browser.execute_async_script(fetch)
    assert media == "model/stl"
    assert size > 10_000


def test_a_shop_can_bring_the_texts_of_its_language(browser, shop, service, drawn):  # noqa: ARG001  as above
    words = {"verdict.ready": "Kann gefräst werden.", "head.width": "Breite, mm"}
    (shop[1] / "deutsch.json").write_text(json.dumps(words), encoding="utf-8")
    page = (shop[1] / "shop.html").read_text(encoding="utf-8")
    german = page.replace("<iron-order", '<iron-order language="de" words="deutsch.json"')
    (shop[1] / "laden.html").write_text(german, encoding="utf-8")
    form = Form(browser, shop[0]).open("/laden.html").take(drawn("skep.svg", MARKS["skep"].svg)).whole()
    assert form.read(".verdict h2") == "Kann gefräst werden."
    assert form.field("Breite, mm").get_attribute("value") == "40"
    assert "Mark 29,78 × 26 mm" in form.read(".verdict")
    assert form.read(".bill .total td").endswith(",".join(f"{form.order()['price']['total']:.2f} €".split(".")))


def test_a_page_that_is_not_allowed_gets_no_answer(browser, shop, form):  # noqa: ARG001  the browser has been elsewhere
    stranger = shop[0].replace("127.0.0.1", "localhost")
    browser.get(f"{stranger}/shop.html")
    started = "return customElements.get('iron-order') !== undefined"
    assert not browser.execute_script(started)
    assert any("CORS policy" in entry["message"] for entry in browser.get_log("browser"))
