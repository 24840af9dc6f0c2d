"""Solids that cannot be had, over HTTP: 422, the field by name, and a measure that would do."""

import io

import pytest

from outside_checks import facets_of

BAR = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 34 4"><path d="M0 0h34v4h-34z"/></svg>'
DISC = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><circle cx="4.5" cy="4.5" r="4.5"/></svg>'


def post(app, job, mark=BAR):
    form = {"mark": (io.BytesIO(mark), "m.svg"), "job": job}
    return app.test_client().post("/v1/solids", data=form)


@pytest.mark.parametrize(
    ("job", "pointer", "limit"),
    [
        # the bar ends 0.5 mm from the edge: atan(0.5 / 1.5) is 18.4 degrees
        (
            '{"placement": {"margin": 0.5, "fit": {"width": 37}}, "relief": {"height": 1.5, "draft_deg": 25}}',
            "#/job/relief/draft_deg",
            "at most 18.4 degrees",
        ),
        (
            '{"relief": {"height": 19}, "thread": null}',
            "#/job/relief/height",
            "less than the thickness of the head (19 mm)",
        ),
        ('{"relief": {"height": 16}}', "#/job/head/thickness", "mm thick"),
        ('{"relief": {"height": 51}}', "#/job/relief/height", "50"),
        ('{"relief": {"draft_deg": 46}}', "#/job/relief/draft_deg", "45"),
        ('{"relief": {"height": 1e999}}', "#/job/relief/height", ""),
        ('{"relief": {"draft_deg": 1e999}}', "#/job/relief/draft_deg", ""),
        ('{"artwork": {"chord": 1}}', "#/job/artwork/chord", "0.1"),
    ],
)
def test_what_cannot_be_built_is_refused_by_its_field_with_the_limit(app, job, pointer, limit):
    answer = post(app, job)
    error = answer.get_json()["errors"][0]
    assert (answer.status_code, error["pointer"]) == (422, pointer)
    assert limit in error["detail"]


def test_a_finer_chord_that_the_job_asks_for_gives_more_corners(app):
    """A disc's corners grow as the root of the error's inverse: 16 times as fine, 4 times as many."""
    fine, coarse = (
        len(facets_of(post(app, f'{{"artwork": {{"chord": {mm}}}, "thread": null}}', DISC).data)[0])
        for mm in (0.001, 0.016)
    )
    assert fine / coarse == pytest.approx(4, rel=0.3)
