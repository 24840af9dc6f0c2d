"""A mark that cannot be made, what is offered, and what becomes of it when it is taken."""

from __future__ import annotations

from stamped import MARKS

NARROW = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="24mm" viewBox="0 0 40 24">
<path d="M0 0h19.65v24H0zM20.35 0H40v24H20.35z"/></svg>"""  # two blocks with a gap of 0.6 mm between them

HAIRLINE = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="24mm" viewBox="0 0 40 24">
<path d="M0 0h14v24H0zM30 2h.4v20H30z"/></svg>"""


def offered(form):
    return [button.text for button in form.all(".mend")]


def test_a_mark_that_will_fail_says_so_and_can_be_mended_by_its_size(form, drawn):
    form.open().take(drawn("dandelion.svg", MARKS["dandelion"].svg))
    assert form.read(".verdict h2") == "Not worth cutting like this."
    form.after(lambda: form.press("Mend all by size"))
    assert form.read(".verdict h2") == "Ready to cut."
    assert form.read("[role=status]").startswith("Done: Make the mark")


def test_thin_lines_are_thickened_at_a_press(form, drawn):
    form.open().take(drawn("hairline.svg", HAIRLINE))
    assert "Thin line" in form.read(".kind h3")
    form.after(lambda: form.press("Thicken thin lines"))
    assert form.order()["job"]["relief"]["thicken"] is True
    assert "Thin line" not in form.read(".kind h3")
    assert "Thicken thin lines" not in offered(form)


def test_another_cutter_opens_a_gap_at_a_press(form, drawn):
    form.open().take(drawn("gap.svg", NARROW))
    assert "Narrow gap" in form.read(".kind h3")
    form.unfold()
    form.after(lambda: form.type("Height of the lands, mm", "1.4"))  # a cutter of 0.5 mm cuts 1.5 mm deep
    offer = next(says for says in offered(form) if says.startswith("Add a "))
    form.after(lambda: form.press(offer))
    assert "Narrow gap" not in form.read(".kind h3")
    assert len(form.order()["job"]["cutters"]) == 4


def test_a_wrong_measure_is_told_beside_its_field(form, drawn):
    form.open().take(drawn("skep.svg", MARKS["skep"].svg))
    form.type("Corner radius, mm", "90")
    form.until(lambda: form.read(".refused h2") == "One of the fields needs another value.")
    radius = form.field("Corner radius, mm")
    assert radius.get_attribute("aria-invalid") == "true"
    fault = form.find(f"#{radius.get_attribute('aria-describedby').split()[0]}")
    assert "half the head" in fault.text
    form.after(lambda: form.type("Corner radius, mm", "2"))
    assert radius.get_attribute("aria-invalid") is None


def test_what_is_left_out_of_a_drawing_is_the_customers_choice(form, drawn):
    picture = '<image href="data:image/png;base64,AAAA" width="5" height="5"/>'
    form.open()
    form.find("#mark").send_keys(str(drawn("picture.svg", NARROW.replace("<path", f"{picture}<path"))))
    form.until(lambda: form.read(".refused h2") == "This drawing cannot be used yet.")
    form.after(lambda: form.press("Go on without it"))
    assert form.order()["job"]["artwork"]["ignore"] == ["raster-image"]
    assert "Will not print." in form.read(".notices")
