"""The whole order, from the drop to the bundle, as a customer does it."""

from __future__ import annotations

import io
import json
import re
import zipfile

import ezdxf
import numpy as np
import pytest
import requests
from reportlab.pdfgen.canvas import Canvas

from lettered import dejavu
from served import until
from stamped import MARKS, SHOWN_MM, width_mm

TWO_BARS = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">
<path d="M0 20h14v10H0zM30 2h.35v9H30z"/></svg>"""  # a block below left, a hairline above right


@pytest.fixture(scope="module")
def skep(form):
    """The form with a mark in it, which the tests below use one after the other as one customer would."""
    return form.open().drop("skep.svg", MARKS["skep"].svg)


def test_a_dropped_mark_is_answered_with_print_verdict_and_findings(skep):
    assert skep.read(".verdict h2") == "Can be cut, with losses."
    wide = re.search(r"Mark ([\d.]+) × 24 mm", skep.read(".verdict"))
    assert float(wide[1]) == pytest.approx(width_mm("skep"), abs=SHOWN_MM)
    assert len(skep.all(".kind")) >= 3
    grey = skep.picture(".sheet")
    assert 0.05 < np.mean(grey < 80) < 0.6  # char on wood
    assert skep.console() == []


def test_what_the_form_shows_is_what_the_service_answers_to_the_same_job(skep, service):
    order = skep.order()
    sent = {"mark": MARKS["skep"].svg.decode(), "job": order["job"]}
    answer = requests.post(f"{service.url}/v1/reviews", json=sent, timeout=20).json()
    assert (order["digest"], order["verdict"]) == (answer["digest"], answer["verdict"])
    assert [finding["says"] for finding in order["review"]["findings"]] == [
        f["says"] for f in answer["review"]["findings"]
    ]


def test_an_untouched_form_asks_for_the_empty_job(skep, service):
    answer = requests.post(f"{service.url}/v1/reviews", json={"mark": MARKS["skep"].svg.decode()}, timeout=20).json()
    assert skep.order()["digest"] == answer["digest"]


def test_minutes_heat_and_weight_follow(skep):
    figures = skep.whole().read(".figures")
    assert f"{int(np.ceil(skep.order()['stamp']['plan']['total_min']))} min" in figures
    assert "Prints per heat" in figures


@pytest.mark.parametrize("view", ["as_drawn", "as_cut"])
def test_the_solid_turns_in_the_page(skep, view):
    skep.turning(view).press("Slanted")
    slanted = skep.picture("iron-solid").astype(float)
    assert 0.1 < np.mean(np.abs(slanted - slanted[0, 0]) > 20) < 0.9
    skep.press("Back")
    back = skep.picture("iron-solid")
    assert np.mean(np.abs(slanted - back) > 10) > 0.1
    assert skep.console() == []


def test_the_bundle_is_saved_with_the_digest_that_is_shown(skep, downloads):
    skep.whole().press("Everything (ZIP)")
    until(lambda: zipfile.is_zipfile(downloads / "skep.zip"))  # a browser begins with an empty file of that name
    with zipfile.ZipFile(downloads / "skep.zip") as bundle:
        stamp = json.loads(bundle.read("stamp.json"))
        assert {"face.stl", "face.3mf", "sheet.pdf", "proof.svg"} <= set(bundle.namelist())
    assert skep.read(".take code") == stamp["digest"][:16]
    assert skep.read("[role=status]") == "skep.zip is saved."


def test_of_many_changes_the_last_one_wins(skep):
    for width in ("30", "44", "52", "61"):
        skep.type("Width, mm", width)
    order = skep.after(lambda: skep.type("Width, mm", "47")).whole().order()
    assert order["job"]["head"]["width"] == 47
    assert order["stamp"]["face"]["head_bounds_mm"][2] == pytest.approx(23.5, abs=0.001)
    assert order["digest"] == order["stamp"]["digest"]


def test_a_finding_lights_up_where_it_is_on_the_print(form, drawn):
    form.open().take(drawn("bars.svg", TWO_BARS))
    place = form.find(".place")
    form.browser.execute_script("arguments[0].focus()", place)
    sheet, ring = form.find(".sheet").rect, form.find("circle.glow").rect
    x = (ring["x"] + ring["width"] / 2 - sheet["x"]) / sheet["width"]
    y = (ring["y"] + ring["height"] / 2 - sheet["y"]) / sheet["height"]
    assert x > 0.6  # the hairline is drawn above right, and so it prints
    assert y < 0.5
    grey = form.picture(".sheet")
    around = grey[int(y * grey.shape[0]), int(x * grey.shape[1]) - 4 : int(x * grey.shape[1]) + 5]
    assert around.min() < 90


def test_a_press_looks_closer_and_a_second_steps_back(form):
    place = form.find(".place")
    form.browser.execute_script("arguments[0].focus(); arguments[0].click()", place)
    assert "scale(3)" in form.find(".sheet").get_attribute("style")
    form.browser.execute_script("arguments[0].click()", place)
    assert "scale" not in form.find(".sheet").get_attribute("style")


def ring_in_dxf():
    drawing, text = ezdxf.new(units=ezdxf.units.MM), io.StringIO()
    drawing.modelspace().add_circle((10, 10), 9)
    drawing.modelspace().add_circle((10, 10), 5)
    drawing.write(text)
    return text.getvalue()


def ring_in_pdf():
    page = Canvas((file := io.BytesIO()), pagesize=(60, 60))
    page.setLineWidth(12)
    page.circle(30, 30, 20)
    page.save()
    return file.getvalue()


@pytest.mark.parametrize(("name", "ring"), [("ring.dxf", ring_in_dxf), ("ring.pdf", ring_in_pdf)])
def test_drawings_of_other_kinds_are_taken_as_well(form, drawn, name, ring):
    form.open().take(drawn(name, ring()))
    assert form.read(".verdict h2") == "Ready to cut."
    assert "Finest line" in form.read(".verdict")


def test_who_has_no_drawing_at_hand_tries_the_sample(form):
    form.open()
    form.after(lambda: form.press("Try it with a sample"))
    assert form.read(".verdict h2") == "Can be cut, with losses."
    assert form.order()["mark"] == "sample.svg"


def test_text_is_set_in_the_font_that_is_added(form, drawn):
    text = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 40 20">
    <text x="2" y="15" font-family="DejaVu Sans" font-size="14">Hive</text></svg>"""
    form.open().take_refused(drawn("text.svg", text))
    assert "Send the font" in form.read(".refused")
    assert any(button.text == "Add fonts" for button in form.all(".refused button"))
    form.after(lambda: form.find("#fonts").send_keys(str(drawn("DejaVuSans.ttf", dejavu()))))
    assert form.order()["verdict"] == "ready"
    assert "DejaVuSans.ttf" in form.read(".fonts")
