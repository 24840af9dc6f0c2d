"""For everybody: by keyboard alone, read aloud, in the dark, on a phone; judged by axe-core, which is not ours."""

from __future__ import annotations

import re

import pytest
from selenium.webdriver.common.keys import Keys

from ordering import looking
from stamped import MARKS, SHOWN_MM, width_mm

PHONE_PX = 360


def faults_in_both(form):
    """All faults in light, and those of colour in the dark, where nothing else differs."""
    found = form.faults()
    with looking(form.browser, scheme="dark"):
        return [*found, *form.faults("color-contrast")]


def edge(element, name):
    return element.parent.execute_script(f"return arguments[0].getBoundingClientRect().{name}", element)


def tab_to(form, wanted, *, most=60):
    """Press Tab until what has the focus is what is wanted."""
    for _ in range(most):
        form.keys(Keys.TAB)
        if (focused := form.focused()) and wanted(focused):
            return focused
    raise AssertionError("the Tab key does not lead there")


def test_an_order_can_be_made_by_keyboard_alone(form, drawn):
    form.open()
    tab_to(form, lambda each: each.get_attribute("id") == "mark")
    form.take(drawn("dandelion.svg", MARKS["dandelion"].svg))  # the system's own window for choosing a file
    shape = tab_to(form, lambda each: each.get_attribute("value") == "rectangle")
    form.after(lambda: form.keys(Keys.ARROW_RIGHT))
    assert form.order()["job"]["head"]["shape"] == "round"
    form.browser.execute_script("arguments[0].blur()", shape)
    tab_to(form, lambda each: each.get_attribute("class") == "place")
    assert len(form.all("circle.glow")) == 1
    assert edge(form.focused(), "top") > edge(form.find("figure"), "bottom")  # WCAG 2.4.11: the picture hides it not
    form.keys(Keys.ENTER)
    assert form.focused().get_attribute("aria-pressed") == "true"
    tab_to(form, lambda each: each.text.startswith("Make the mark"), most=90)
    form.after(lambda: form.keys(Keys.ENTER))
    assert form.focused().tag_name == "h2"  # the button is gone, so the focus goes to what has changed


def test_the_solid_turns_by_the_arrow_keys(form, drawn):
    form.open().take(drawn("skep.svg", MARKS["skep"].svg)).turning("as_drawn")
    form.browser.execute_script("arguments[0].shadowRoot.querySelector('canvas').focus()", form.find("iron-solid"))
    before = form.picture("iron-solid").astype(float)
    form.keys(Keys.ARROW_LEFT, Keys.ARROW_LEFT, Keys.ARROW_UP)
    assert abs(form.picture("iron-solid") - before).mean() > 2


def test_what_changes_is_read_out(form, drawn):
    form.open().take(drawn("skep.svg", MARKS["skep"].svg))
    state = form.find("[role=status]")
    assert state.get_property("textContent").startswith("Can be cut, with losses. 2")
    wide = re.match(r"The print of the mark, ([\d.]+) by 24 mm", form.find(".print img").get_attribute("alt"))
    assert float(wide[1]) == pytest.approx(width_mm("skep"), abs=SHOWN_MM)


def test_axe_finds_no_fault_at_any_step_in_light_and_in_dark(form, drawn):
    form.open()
    form.unfold()
    assert faults_in_both(form) == []
    form.take(drawn("skep.svg", MARKS["skep"].svg)).whole()
    assert faults_in_both(form) == []
    form.turning("as_drawn")
    form.type("Corner radius, mm", "90")
    form.until(lambda: form.read(".refused h2"))
    assert faults_in_both(form) == []


def test_axe_finds_no_fault_in_the_example_of_a_shop(form, drawn):
    form.open("/form/shop.html").take(drawn("skep.svg", MARKS["skep"].svg)).whole()
    assert faults_in_both(form) == []


@pytest.mark.parametrize("path", ["/docs", "/problems/invalid-job"])
def test_axe_finds_no_fault_in_the_pages_and_a_phone_shows_them_without_scrolling_sideways(form, path):
    form.browser.get(f"{form.url}{path}")
    assert faults_in_both(form) == []
    with looking(form.browser, width=PHONE_PX):
        assert form.browser.execute_script("return document.documentElement.scrollWidth") == PHONE_PX


@pytest.mark.parametrize("path", ["/", "/form/shop.html"])
def test_a_phone_shows_all_without_scrolling_sideways(form, drawn, path):
    with looking(form.browser, width=PHONE_PX):
        form.open(path)
        form.unfold()
        form.take(drawn("skep.svg", MARKS["skep"].svg)).whole()
        wide = form.browser.execute_script("return document.documentElement.scrollWidth")
        assert wide == PHONE_PX
        assert all(button.rect["height"] >= 24 for button in form.all("button") if button.is_displayed())  # WCAG 2.5.8


def test_on_a_phone_a_strip_shows_what_a_change_does_and_leads_to_the_picture(form, drawn):
    with looking(form.browser, width=PHONE_PX):
        form.open().take(drawn("skep.svg", MARKS["skep"].svg))
        form.unfold()
        form.type("Height, mm", "40")
        form.until(lambda: form.read(".peek button").startswith("Ready to cut."))
        form.press("Ready to cut.")
        form.until(lambda: not form.find(".peek").is_displayed())
        assert form.browser.execute_script("return arguments[0].getBoundingClientRect().top", form.find("figure")) < 10


def test_who_is_made_ill_by_motion_sees_none(form, drawn):
    with looking(form.browser, motion="reduce"):
        form.open().take(drawn("skep.svg", MARKS["skep"].svg))
        assert form.find(".sheet").value_of_css_property("transition-duration") == "0s"
