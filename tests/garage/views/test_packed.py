"""What goes over the network packed, and what stays as it is."""

from __future__ import annotations

import gzip

import pytest

from garage.views.packed import PackedTextMiddleware
from tests.factories import garage

pytestmark = pytest.mark.django_db
ASKS = {"accept-encoding": "gzip"}


@pytest.mark.parametrize("path", ["/", "/static/paper.css", "/static/app.js"])
def test_text_is_packed_for_who_can_unpack_it(client, path):
    garage.shop()
    packed, plain = client.get(path, headers=ASKS), client.get(path)
    body = b"".join(packed)
    assert packed["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed["Vary"]
    assert len(body) < len(b"".join(plain)) / 2
    assert gzip.decompress(body)[:200] == b"".join(client.get(path))[:200]
    assert "Content-Encoding" not in plain


def test_what_is_packed_already_is_left_alone(client):
    path = "/static/vendor/atkinson/atkinson-hyperlegible-next-latin-400-normal.woff2"
    answer = client.get(path, headers=ASKS)
    assert (answer.status_code, b"".join(answer)[:4]) == (200, b"wOF2")
    assert "Content-Encoding" not in answer


def test_the_same_page_has_another_length_each_time(client):
    """BREACH (Gluck, Harris and Prado 2013) guesses what is in a page from how well it packs."""
    garage.shop()
    assert PackedTextMiddleware.max_random_bytes > 0
    assert len({len(client.get("/", headers=ASKS).content) for _ in range(20)}) > 5
