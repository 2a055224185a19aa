"""When a request is whole, too much or too slow; no socket is needed for that."""

import pytest

from garage.running.web import arriving
from garage.running.web.arriving import Arriving

MOST = 1000


@pytest.fixture
def arrives():
    """A request of which these pieces have come."""
    begun = []

    def after(*pieces, most_bytes=MOST):
        found = Arriving(lambda _method, _target: most_bytes, 0.0)
        begun.append(found)
        for piece in pieces:
            assert not found.is_whole
            found.add(piece)
        return found

    yield after
    for each in begun:
        each.forget()


def head(*lines, first="POST /book/ HTTP/1.1"):
    return "\r\n".join((first, "Host: garage", *lines, "", "")).encode()


def test_a_request_without_a_body_is_whole_with_its_head_however_it_is_cut(arrives):
    sent = head(first="GET / HTTP/1.1")
    found = arrives(*(sent[i : i + 1] for i in range(len(sent))))
    assert found.is_whole
    assert not found.is_cut
    assert b"".join(found.pieces()) == sent


def test_a_body_is_waited_for_to_its_last_byte(arrives):
    found = arrives(head("Content-Length: 5"), b"a=b", b"&")
    assert not found.is_whole
    found.add(b"c")
    assert (found.is_whole, found.is_cut) == (True, False)
    assert b"".join(found.pieces()).endswith(b"\r\n\r\na=b&c")


def test_a_body_that_states_more_than_its_page_takes_is_not_waited_for(arrives):
    found = arrives(head(f"Content-Length: {MOST + 1}"))
    assert (found.is_whole, found.is_cut) == (True, True)


CHUNKED = head("Transfer-Encoding: chunked")


@pytest.mark.parametrize(
    "body",
    [
        b"3\r\na=b\r\n0\r\n\r\n",
        b"1;name=0\r\na\r\n2\r\n=b\r\n0\r\n\r\n",
        b"3\r\na=b\r\n0\r\nTrailer: x\r\n\r\n",
    ],
    ids=["one", "two", "with a trailer"],
)
def test_a_body_in_chunks_is_put_together_and_gets_its_length_however_it_is_cut(arrives, body):
    whole = b"POST /book/ HTTP/1.1\r\nHost: garage\r\nContent-Length: 3\r\n\r\na=b"
    for found in (arrives(CHUNKED + body), arrives(CHUNKED, *(body[i : i + 1] for i in range(len(body))))):
        assert (found.is_whole, found.is_cut) == (True, False)
        assert b"".join(found.pieces()) == whole


def test_what_looks_like_the_end_within_a_chunk_is_none(arrives):
    found = arrives(CHUNKED, b"5\r\n0\r\n\r\n", b"\r\n0\r\n", b"\r\n")
    assert b"".join(found.pieces()).endswith(b"Content-Length: 5\r\n\r\n0\r\n\r\n")


@pytest.mark.parametrize(
    "lines",
    [
        ("Transfer-Encoding: chunked", "Content-Length: 3"),
        ("Transfer-Encoding: gzip, chunked",),
        ("Transfer-Encoding: chunked", "Transfer-Encoding: chunked"),
        ("Content-Length: 3", "Content-Length: 4"),
    ],
)
def test_what_says_two_things_of_its_length_is_left_to_the_web_server_to_refuse(arrives, lines):
    found = arrives(head(*lines) + b"a=b")
    assert found.is_cut
    assert b"".join(found.pieces()) == head(*lines)


@pytest.mark.parametrize(
    "body", [b"fff\r\n" + b"a" * (MOST + 1), b"1;" + b"a" * 400 + b"\r\na\r\n"], ids=["bytes", "words"]
)
def test_a_body_in_chunks_is_cut_where_it_is_more_than_its_page_takes(arrives, body):
    found = arrives(CHUNKED)
    while not found.is_whole:
        found.add(body)
    assert found.is_cut
    stated, _, _ = b"".join(found.pieces()).partition(b"\r\nContent-Length: ")[2].partition(b"\r\n")
    assert int(stated) > MOST


@pytest.mark.parametrize("body", [b"zz\r\n", b"-1\r\n", b"a" * 2000], ids=["no size", "below none", "no line"])
def test_chunks_that_are_none_are_left_to_the_web_server_to_refuse(arrives, body):
    assert arrives(CHUNKED, body, most_bytes=10_000).is_whole


def test_a_head_without_an_end_is_handed_on_to_be_refused(arrives):
    found = arrives(b"GET /" + b"a" * arriving.HEAD_BYTES)
    assert (found.is_whole, found.is_cut) == (True, True)


def test_a_client_that_asks_whether_to_go_on_is_told_once(arrives):
    sent = head("Content-Length: 3", "Expect: 100-continue")
    found = arrives(sent)
    assert found.goes_on
    found.add(b"a=b")
    assert found.is_whole
    assert b"xpect" not in b"".join(found.pieces())
    assert not arrives(head("Content-Length: 9999", "Expect: 100-continue")).goes_on


def test_silence_and_a_drip_are_too_slow_and_a_village_line_is_not(arrives):
    silent = arrives()
    assert not silent.is_late(arriving.HEAD_S)
    assert silent.is_late(arriving.HEAD_S + 0.1)
    drip = arrives(head("Content-Length: 1000"), *[b"a"] * 50)
    assert not drip.is_late(arriving.HEAD_S + arriving.PATIENCE_S)
    assert drip.is_late(arriving.HEAD_S + arriving.PATIENCE_S + 1)
    slow = arrives(head("Content-Length: 20000000"), b"a" * 10_000_000, most_bytes=10**8)
    assert not slow.is_late(1000.0)
    assert slow.is_large


@pytest.mark.parametrize("length", ["x", "-1", "", "9" * 30])
def test_a_length_that_is_none_is_left_to_the_web_server_to_refuse(arrives, length):
    assert arrives(head(f"Content-Length: {length}")).is_cut
