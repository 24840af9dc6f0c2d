"""One order, three papers: the text of the bundle and the shop sheet say the numbers that the answer holds."""

import json
import re
from functools import cache

import pypdfium2
import pytest

from stamped import MARKS, NAMES, stamp_of
from stampwright.documents.answer import stamp_json
from stampwright.documents.readme import readme_text
from stampwright.drawings import draw_face, sheet_pdf
from stampwright.job import read_job
from stampwright.pipeline import make_stamp

FOOT = re.compile(r"\d of 2 · \S+ · stampwright \S+ ")  # between the pages, where it may part a sentence
ROW = re.compile(
    r"^ +(\d+)  (back|face) +(\S.*?\S) {2,}(\S+) +(?:(\d+) rpm +(\d+) mm/min|by hand) +([\d.]+) min$", re.MULTILINE
)


@cache
def answer_of(name):
    return json.loads(stamp_json(stamp_of(name)))


@cache
def text_of(name):
    return readme_text(stamp_of(name))


@cache
def sheet_of(name):
    pages = pypdfium2.PdfDocument(sheet_pdf(stamp_of(name)))
    text = " ".join(" ".join(page.get_textpage().get_text_range() for page in pages).split())
    return FOOT.sub("", text)


@pytest.mark.parametrize("name", NAMES)
def test_the_text_tells_every_operation_as_the_answer_has_it(name):
    operations = answer_of(name)["plan"]["operations"]
    rows = ROW.findall(text_of(name))
    assert len(rows) == len(operations)
    for (step, side, kind, cutter, rpm, feed, minutes), told in zip(rows, operations, strict=True):
        assert (int(step), side, kind, cutter) == (
            *(told["step"], told["side"]),
            *(told["kind"].replace("_", " "), told["cutter"]),
        )
        assert [float(rpm or 0), float(feed or 0)] == pytest.approx(
            [told["spindle_rpm"], told["feed_mm_per_min"]], abs=0.5
        )
        assert float(minutes) == pytest.approx(told["time_min"], abs=0.0501)


@pytest.mark.parametrize("name", NAMES)
def test_the_sheet_tells_every_operation_as_the_answer_has_it(name):
    for step in answer_of(name)["plan"]["operations"]:
        speed = f"{step['spindle_rpm']:.0f} {step['feed_mm_per_min']:.0f}" if step["spindle_rpm"] else "by hand"
        deep = f" {step['axial_depth_mm']:.2f}" if step["axial_depth_mm"] is not None else ""
        kind = step["kind"].replace("_", " ")
        assert f"{step['step']} {step['side']} {kind} {step['cutter']} {speed}{deep} {step['passes']} " in sheet_of(
            name
        )


@pytest.mark.parametrize("name", NAMES)
def test_text_and_sheet_tell_the_sizes_that_the_answer_holds(name):
    told, text, sheet = answer_of(name), text_of(name), sheet_of(name)
    width, height = told["face"]["width_mm"], told["face"]["height_mm"]
    assert f"mark {width:.2f} x {height:.2f} mm, relief {told['face']['relief_mm']:.2f} mm\n" in text
    assert f"Mark {width:.2f} × {height:.2f} mm" in sheet
    x0, y0, x1, y1 = told["face"]["head_bounds_mm"]
    sawn = [float(side) for side in re.search(r"\n  head ([\d.]+) x ([\d.]+) x", text).groups()]
    assert sawn == pytest.approx([x1 - x0, y1 - y0], abs=0.005)
    assert f", {told['solid']['mass_g']:.0f} g; for {stamp_of(name).job.substrate}\n" in text
    assert f"CUTTING, {told['plan']['total_min']:.0f} min in all" in text
    assert f"All cutting {told['plan']['total_min']:.0f} min" in sheet


@pytest.mark.parametrize("name", NAMES)
def test_text_and_sheet_tell_the_heat_that_the_answer_holds(name):
    use = answer_of(name)["use"]
    (low_c, high_c), (least_s, most_s) = use["face_target_c"], use["heat_up_range_s"]
    seconds, degrees = (
        f"{use['heat_up_s']:.0f} s ({least_s:.0f} to {most_s:.0f})",
        f"{low_c:.0f} to {high_c:.0f} °C",
    )
    assert f"about {seconds} to a face of {degrees}; press" in text_of(name)
    assert f"About {seconds} to {degrees}." in sheet_of(name)
    force = "{:.0f} to {:.0f} N".format(*use["press_force_n"])
    assert force in text_of(name)
    assert force in sheet_of(name)


def test_the_text_counts_what_the_report_lists_no_more():
    dots = "".join(f"M{x} {y}h.3v.3h-.3z" for x in range(2, 38, 2) for y in range(2, 30, 2)).encode()
    mark = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 32" width="40mm"><path d="%b"/></svg>' % dots
    job = read_job({"placement": {"fit": "actual_size"}, "head": {"width": 44, "height": 36}})
    stamp = make_stamp(mark, job)
    text = " ".join(readme_text(stamp).split())
    assert stamp.review.findings_left_out
    for code, count in stamp.review.findings_left_out.items():
        assert f"{count} × {code.replace('-', ' ')}" in text.split("Beyond the listed ones: ")[1]
    assert "Beyond the listed ones" not in text_of("skep")


@pytest.mark.parametrize(
    ("size", "told"), [("M8x1.25", "6.8 mm"), ("1/4-20 UNC", "#7 (5.105 mm)"), ("3/8-16 UNC", "5/16 in (7.938 mm)")]
)
def test_a_drill_is_told_by_name_and_diameter_and_once_where_both_are_one(size, told):
    job = read_job({"head": {"width": 40, "height": 30, "thickness": 25}, "thread": {"size": size}})
    stamp = make_stamp(MARKS["hourglass"].svg, job)
    face, sheet = (
        "".join(text.text for text in draw_face(stamp).iter("text")),
        pypdfium2.PdfDocument(sheet_pdf(stamp))[0].get_textpage().get_text_range(),
    )
    assert f", drill {told} to " in face
    assert f" drill {told} to " in " ".join(sheet.split())
    assert f"Drill {told} {stamp.plan.thread.drilled_mm:.1f} mm deep" in " ".join(sheet.split())


@pytest.mark.parametrize("name", NAMES)
def test_the_sheet_goes_by_the_order_of_the_work_and_each_danger_stands_beside_its_work(name):
    sheet, answer = sheet_of(name), answer_of(name)
    heads = ["Findings", "Blank and set-up", "Cautions while cutting", "Heat and use", "Cautions while branding"]
    places = [sheet.index(f" {head} ") for head in heads]
    assert places == sorted(places)
    words = [[" ".join(caution["says"].split()) for caution in answer[work]["cautions"]] for work in ("plan", "use")]
    cutting, branding = sheet[places[2] : places[3]], sheet[places[4] :]
    assert [says for says in words[0] if says not in cutting] == []
    assert [says for says in words[1] if says not in branding] == []


def test_the_text_holds_the_quote_of_a_shop_that_says_its_rates():
    rates = {"currency": "EUR", "per_hour": 42, "setup": 18, "metal_per_kg": 14}
    stamp = make_stamp(MARKS["hourglass"].svg, read_job({"rates": rates}))
    (quote,) = [part for part in readme_text(stamp).split("\n\n") if part.startswith("QUOTE, EUR")]
    told = [float(line.split()[-1]) for line in quote.splitlines()[1:]]
    assert told == [*(item.amount for item in stamp.price.items), stamp.price.total]
    assert "QUOTE" not in text_of("hourglass")
