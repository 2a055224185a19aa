"""The started web server beside sockets that say nothing, say it slowly, or never stop."""

import contextlib
import gc
import logging
import socket
import threading
import time
from http.client import HTTPResponse
from urllib.request import ProxyHandler, build_opener

import pytest
from celery.signals import worker_before_create_process
from gunicorn.config import Config

from garage.running.web.patient_worker import Connection, PatientWorker

pytestmark = pytest.mark.long
STRANGER = "127.0.0.2"  # loopback too, and another address
DRIP = b"POST /log-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 1000\r\n\r\na"


@pytest.fixture(scope="module")
def live(shared_tickover):
    return shared_tickover(demo="never", part="web", processes=1)


@pytest.fixture
def connect(live):
    """Opens a socket to the garage, from an address."""
    host, _, port = live.base_url.removeprefix("http://").partition(":")
    with contextlib.ExitStack() as opened:
        yield lambda source: opened.enter_context(
            socket.create_connection((host, int(port)), timeout=20, source_address=(source, 0))
        )


def seconds_for_a_page(live):
    began_s = time.monotonic()
    with build_opener(ProxyHandler({})).open(f"{live.base_url}/static/paper.css", timeout=20) as answer:
        answer.read()
    return time.monotonic() - began_s


def answer_to(sock, sent):
    sock.sendall(sent)
    with contextlib.suppress(ConnectionError):
        return b"".join(iter(lambda: sock.recv(65536), b""))
    return b""


@pytest.mark.parametrize("source", [STRANGER, "127.0.0.1"], ids=["a stranger", "from the garage's own address"])
@pytest.mark.parametrize(
    "said",
    [b"", b"GET / HT", DRIP, b"POST /log-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nTransfer-Encoding: chunked\r\n\r\n5\r\na"],
    ids=["silent", "half a head", "half a form", "half a chunk"],
)
def test_sixty_four_sockets_that_keep_it_waiting_stop_nobody(live, connect, source, said):
    for _ in range(64):
        connect(source).sendall(said)
    assert seconds_for_a_page(live) < 4


def test_of_one_address_those_that_waited_longest_make_room(live, connect):
    first, *others = (connect(STRANGER) for _ in range(80))
    assert first.recv(1) == b""
    others[-1].sendall(b"GET /static/paper.css HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
    assert others[-1].recv(12) == b"HTTP/1.1 200"
    assert seconds_for_a_page(live) < 4


def test_answers_that_nobody_closes_behind_hold_nothing_up(live, connect):
    ask = b"GET /static/paper.css HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n"
    for sock in [connect(STRANGER) for _ in range(20)]:
        sock.sendall(ask)
    assert seconds_for_a_page(live) < 4


def test_a_form_in_chunks_is_read_and_one_that_never_ends_is_refused(live, connect):
    chunks = b"POST /log-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\nTransfer-Encoding: chunked\r\n\r\n"
    assert answer_to(connect(STRANGER), chunks + b"6\r\nname=x\r\n0\r\n\r\n").startswith(b"HTTP/1.1 403")
    endless = connect(STRANGER)
    endless.sendall(chunks)
    threading.Thread(target=_feed, args=(endless,), daemon=True).start()
    answer = answer_to(endless, b"")
    assert answer.startswith(b"HTTP/1.1 413")
    assert b"at most 200 kB" in answer


def _feed(sock):
    with contextlib.suppress(OSError):
        while True:
            sock.sendall(b"8000\r\n" + b"a" * 0x8000 + b"\r\n")


def test_too_large_a_form_has_its_answer_while_it_is_still_sent(live, connect):
    sock = connect(STRANGER)
    head = b"POST /log-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 3000000\r\n\r\n"
    answer = answer_to(sock, head + b"a" * 3_000_000)
    assert answer.startswith(b"HTTP/1.1 413")
    assert b"Connection: close" in answer


def test_a_client_that_asks_first_is_told_to_go_on(live, connect):
    sock = connect(STRANGER)
    sock.sendall(b"POST /log-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 3\r\nExpect: 100-continue\r\n\r\n")
    assert sock.recv(100) == b"HTTP/1.1 100 Continue\r\n\r\n"
    sock.sendall(b"a=b")
    assert sock.recv(12) == b"HTTP/1.1 403"


def test_a_connection_is_kept_for_the_next_request(live, connect):
    sock = connect(STRANGER)
    for sent in (b"GET /static/paper.css HTTP/1.1\r\n", b"POST /log-in/ HTTP/1.1\r\nContent-Length: 3\r\n") * 2:
        sock.sendall(sent + b"Host: 127.0.0.1\r\n\r\n" + (b"a=b" if sent.startswith(b"POST") else b""))
        with HTTPResponse(sock) as answer:
            answer.begin()
            assert answer.status == (403 if sent.startswith(b"POST") else 200)
            answer.read()


@pytest.mark.parametrize(
    ("proxy", "peer", "counts"),
    [
        ("127.0.0.1,::1", "127.0.0.1", True),
        ("127.0.0.1,::1", "127.0.0.2", False),
        ("172.16.0.0/12", "172.18.0.5", True),
        ("172.16.0.0/12", "192.168.1.9", False),
        ("*", "203.0.113.7", True),
    ],
)
def test_only_the_proxy_speaks_for_others(proxy, peer, counts):
    """Whoever reaches the web server beside it could name any address, or say that it came over https."""
    config = Config()
    config.set("forwarded_allow_ips", proxy)
    worker = PatientWorker(0, 0, [], None, 1, config, logging.getLogger("web"))
    said = [("HOST", "garage"), ("X-FORWARDED-FOR", "192.0.2.1"), ("X-FORWARDED-PROTO", "https")]
    with socket.socket() as unused:
        connection = Connection(worker, unused, (peer, 50000), ("127.0.0.1", 8000))
        assert worker.is_proxy(connection) is counts
        assert worker.headers_that_count(said, connection) == (said if counts else said[:1])
    worker.tmp.close()


def test_what_is_loaded_before_the_fork_is_left_to_be_shared():
    """The collector writes to all that it looks through, and what is written to is no longer shared."""
    gc.unfreeze()
    try:
        PatientWorker(0, 0, [], None, 1, Config(), logging.getLogger("web")).tmp.close()
        assert gc.get_freeze_count() > 0
        gc.unfreeze()
        worker_before_create_process.send(sender=None)  # Celery's, in the parent, before each process of a worker
        assert gc.get_freeze_count() > 0
    finally:
        gc.unfreeze()
