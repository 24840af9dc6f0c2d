"""What strangers send: nothing of a drawing runs in the page, and nothing is fetched for it."""

from __future__ import annotations

import socket
import threading

import pytest

HOSTILE = """<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
 width="40mm" height="30mm" viewBox="0 0 40 30" onload="document.title='ran'; fetch('{there}/onload')">
<style>@import url({there}/style.css);
path {{ fill: url({there}/paint.svg#p), #000; background: url({there}/b.png) }}</style>
<script>document.title = 'ran'; fetch('{there}/script')</script>
<script xlink:href="{there}/script.js"/>
<use href="{there}/use.svg#a"/>
<a href="javascript:document.title='ran'"><path id="&lt;img src=x onerror=alert(1)&gt;" onclick="document.title='ran'"
 d="M4 4h12v22H4z"/></a>
<path filter="url({there}/filter.svg#f)" d="M20 4h16v10H20z"/>
<set attributeName="onload" to="document.title='ran'"/>
</svg>"""
REFUSED = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">
<image id="&lt;img src='{there}/id.png' onerror='document.title=1'&gt;" href="{there}/raster.png"
 width="30" height="20"/>
<foreignObject width="9" height="9"><iframe xmlns="http://www.w3.org/1999/xhtml" src="{there}/frame"/></foreignObject>
</svg>"""


@pytest.fixture
def listener():
    """A socket that keeps what is asked of it."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        asked = []

        def hear():
            while True:
                try:
                    end, _ = server.accept()
                except OSError:
                    return
                with end:
                    asked.append(end.recv(200))

        threading.Thread(target=hear, daemon=True).start()
        yield f"http://127.0.0.1:{server.getsockname()[1]}", asked


def title(form):
    return form.browser.title


def test_a_hostile_drawing_is_shown_and_neither_runs_nor_fetches(form, drawn, listener):
    there, asked = listener
    form.open().take(drawn("hostile.svg", HOSTILE.format(there=there))).turning("as_cut")
    assert title(form) == "Order a branding iron"
    assert asked == []
    assert "A script was not run" in form.read(".notices")
    assert form.console() == []


def test_a_refused_drawing_is_quoted_as_text_and_never_as_markup(form, drawn, listener):
    there, asked = listener
    form.open().take_refused(drawn("refused.svg", REFUSED.format(there=there)))
    assert form.read(".refused h2") == "This drawing cannot be used yet."
    assert form.all(".refused img, .refused iframe") == []
    assert title(form) == "Order a branding iron"
    assert asked == []
    assert form.console() == []


@pytest.mark.parametrize("content", [b"", b"\0\xff\xfe", b"not a drawing", b"<svg", b"%PDF-1.7\n%%EOF"])
def test_what_is_no_drawing_is_refused_in_words(form, drawn, content):
    form.take_refused(drawn("broken.svg", content))
    assert len(form.read(".refused")) > 60


def test_everything_comes_from_the_service_itself(form):
    form.open()
    script = "return performance.getEntriesByType('resource').map(entry => entry.name)"
    assert {name.startswith((form.url, f"blob:{form.url}")) for name in form.browser.execute_script(script)} == {True}


def test_the_page_lets_nothing_else_run(form):
    form.open()
    inline = (
        "const script = document.createElement('script');"
        "script.append(document.createTextNode(\"document.title = 'ran'\"));"
        "document.body.append(script)"
    )
    form.browser.execute_script(inline)
    assert title(form) == "Order a branding iron"
    assert any("Content Security Policy" in said or "TrustedScript" in said for said in form.console())
