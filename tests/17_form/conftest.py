"""One browser, one service and one shop of another origin for all tests of the order form."""

from __future__ import annotations

import functools
import http.server
import threading

import pytest

from browser import browser_at_work, found_browser
from house import SERVICE
from served import served

PARTS = SERVICE / "web/form/parts"
SHOP = ("shop.html", "shop.css", "shop.js", "icon.svg")


@pytest.fixture(scope="session")
def downloads(tmp_path_factory):
    return tmp_path_factory.mktemp("downloads")


@pytest.fixture(scope="session")
def browser(downloads):
    with browser_at_work(downloads=downloads) as found:
        yield found


class Quiet(http.server.SimpleHTTPRequestHandler):
    """Serves files and says nothing."""

    def log_message(self, *_):
        pass


@pytest.fixture(scope="session")
def shop(tmp_path_factory):
    """A shop's own web server: its address and the folder it serves."""
    found_browser()
    folder = tmp_path_factory.mktemp("shop")
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=folder))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}", folder
    server.shutdown()
    server.server_close()


@pytest.fixture(scope="session")
def service(shop):
    """The service, which lets that shop's pages ask."""
    with served(STAMPWRIGHT_CORS_ORIGINS=shop[0]) as found:
        for name in SHOP:
            text = (PARTS / name).read_text(encoding="utf-8")
            (shop[1] / name).write_text(text.replace('"iron-order.js"', f'"{found.url}/form/iron-order.js"'))
        yield found


@pytest.fixture(scope="session")
def form(browser, service):
    from ordering import Form

    return Form(browser, service.url)


@pytest.fixture(scope="session")
def drawn(tmp_path_factory):
    """Write a drawing into a file that can be chosen."""
    folder = tmp_path_factory.mktemp("drawings")

    def write(name, content):
        (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
        return folder / name

    return write
