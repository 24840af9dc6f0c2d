"""Published drawings against an independent renderer: a fixed sample of two sets, the long run has its own command."""

import random
import shutil
import subprocess

import pytest

from corpora.compare import compare
from corpora.fetch import corpora, drawings, fetch

EACH = 40
SHARE_NOTICED = 0.05  # of flat art at most


@pytest.fixture(scope="module", params=["lucide", "flags"])
def compared(request):
    """A set's key, and what came of each drawing of its sample."""
    corpus = next(corpus for corpus in corpora() if corpus.key == request.param)
    if not drawings(corpus) and shutil.which("npm") is None:
        pytest.skip("npm, which fetches the drawings, is not installed")
    try:
        fetch(corpus)
    except subprocess.CalledProcessError as failed:
        pytest.skip(f"the drawings could not be fetched: {failed.stderr[-200:]}")
    chosen = random.Random(3).sample(drawings(corpus), EACH)  # noqa: S311  a fixed sample, no secret
    return request.param, [(name, compare(data)) for name, data in chosen]


def test_what_is_read_without_notice_is_what_the_renderer_draws(compared):
    _, found = compared
    assert [name for name, result in found if result.silent and not result.matches] == []


def test_flat_art_is_seldom_noticed_and_plain_icons_never(compared):
    key, found = compared
    noticed = [name for name, result in found if result.notices]
    assert len(noticed) <= (SHARE_NOTICED * EACH if key == "flags" else 0)


def test_every_drawing_is_valid_ink_or_has_none(compared):
    _, found = compared
    assert {result.refused for _, result in found} <= {None, "no-ink"}
    assert not [name for name, result in found if result.faults]
