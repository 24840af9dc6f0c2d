"""What the client sends of a mark and its fonts, told by the wire itself."""

from __future__ import annotations

import email
import email.policy

import pytest
import requests

from in_process import ADDRESS, session_of
from programs import COMMAND, run
from stampwright_sdk import Client, TooComplex, UnusableInput
from stampwright_sdk.batch import Batch, find_orders, run_batch

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 20" width="20mm"><circle cx="10" cy="10" r="8"/></svg>'
DXF = "999\nhive box 7\n  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n"
PDF = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"


class Kept(requests.adapters.BaseAdapter):
    """Keeps what is sent and answers nothing that could be used."""

    def __init__(self):
        super().__init__()
        self.parts = []

    def send(self, request, **_limits):
        head = b"Content-Type: " + request.headers["Content-Type"].encode() + b"\r\n\r\n"
        whole = email.message_from_bytes(head + request.body, policy=email.policy.HTTP)
        self.parts = [
            (
                part.get_param("name", header="Content-Disposition"),
                part.get_content_type(),
                part.get_payload(decode=True),
            )
            for part in whole.iter_parts()
        ]
        raise requests.ConnectionError("kept")

    def close(self):
        """Nothing is open."""


def sent(mark, **more):
    session, kept = requests.Session(), Kept()
    session.mount(ADDRESS, kept)
    with Client(ADDRESS, session=session, retries=0) as client, pytest.raises(ConnectionError):
        client.review_mark(mark, **more)
    return kept.parts


@pytest.mark.parametrize(
    ("mark", "kind"),
    [(SVG, "image/svg+xml"), ("\ufeff " + SVG, "image/svg+xml"), (DXF, "image/vnd.dxf"), (PDF, "application/pdf")],
)
def test_a_mark_is_sent_as_what_it_is(mark, kind):
    data = mark if isinstance(mark, bytes) else mark.encode()
    assert sent(mark)[0] == ("mark", kind, data)


def test_a_path_is_sent_by_its_content_not_by_its_name(tmp_path):
    (tmp_path / "mark.svg").write_bytes(PDF)
    assert sent(tmp_path / "mark.svg")[0] == ("mark", "application/pdf", PDF)


def test_fonts_are_sent_in_their_order(tmp_path):
    (tmp_path / "b.ttf").write_bytes(b"second")
    fonts = [data for name, _, data in sent(SVG, fonts=[b"first", tmp_path / "b.ttf"]) if name == "font"]
    assert fonts == [b"first", b"second"]


@pytest.mark.parametrize("fonts", ["apiary.ttf", b"bytes", ["there-is-none.ttf"]])
def test_fonts_that_cannot_be_read_are_refused_on_this_side(client, fonts):
    with pytest.raises(UnusableInput, match="font"):
        client.review_mark(SVG, fonts=fonts)


LARGE = [bytes(4_000_001)]
OPERATIONS = {
    "review_mark": lambda client: client.review_mark(SVG, fonts=LARGE),
    "make_stamp": lambda client: client.make_stamp(SVG, fonts=LARGE),
    "make_solid": lambda client: client.make_solid(SVG, fonts=LARGE),
    "draw_proof": lambda client: client.draw_proof(SVG, fonts=LARGE),
    "write_sheet": lambda client: client.write_sheet(SVG, fonts=LARGE),
    "fetch_bundle": lambda client: client.fetch_bundle("never.zip", SVG, fonts=LARGE),
}


@pytest.mark.parametrize("name", OPERATIONS)
def test_every_operation_sends_the_fonts(client, name):
    with pytest.raises(TooComplex, match="font-too-large"):
        OPERATIONS[name](client)


def test_fonts_are_for_all_of_many_marks(client):
    (made,) = client.make_many([SVG], fonts=[b"x"])
    assert made.answer.digest == client.review_mark(SVG, fonts=[b"x"]).digest != client.review_mark(SVG).digest


def test_a_batch_finds_every_kind_of_drawing_and_is_done_again_with_another_font(app, tmp_path):
    for name in ("a.svg", "b.svgz", "c.pdf", "d.DXF", "e.png", "f.txt"):
        (tmp_path / name).write_text(SVG)
    orders = find_orders([tmp_path])
    assert [order.name for order in orders] == ["a", "b", "c", "d"]
    with session_of(app) as session, Client(ADDRESS, session=session) as client:
        counts = [_skipped(client, orders[:1], tmp_path / "out", fonts) for fonts in [(), (b"x",), (b"x",)]]
    assert counts == [0, 0, 1]


def _skipped(client, orders, folder, fonts):
    batch = Batch(orders, folder, frozenset({"stamp.json"}), resume=True, fonts=fonts)
    return run_batch(client, batch).skipped


def test_the_command_line_takes_fonts_and_says_where_one_is_wrong(tmp_path):
    (tmp_path / "disc.svg").write_text(SVG)
    (tmp_path / "large.ttf").write_bytes(bytes(4_000_001))
    done = run(COMMAND, "review", tmp_path / "disc.svg", "--font", tmp_path / "large.ttf")
    assert (done.returncode, "[font-too-large at #/font/0]" in done.stderr) == (5, True)
