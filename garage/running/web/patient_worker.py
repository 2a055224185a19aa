"""The web server's worker: a thread is given a request once all of it is here, so nobody who is slow holds one.

gunicorn's own threads wait for what a client has not sent yet: sixty-four silent sockets were enough to stop a garage.
Here one loop gathers what arrives (`arriving.py`) and lets go whoever takes too long. At the other end an answer that
nobody takes is given up, and a connection that closes lingers in the loop and not in a thread.
"""

from __future__ import annotations

import contextlib
import errno
import gc
import selectors
import socket
import time
from collections import Counter
from ipaddress import ip_address
from typing import Any

from gunicorn import util
from gunicorn.http.message import Request
from gunicorn.http.parser import RequestParser
from gunicorn.workers.gthread import TConn, ThreadWorker

from garage.running.web.arriving import PIECE_BYTES, Arriving

MOST_FROM_AN_ADDRESS = 64  # connections at once; a browser opens six, and a garage has some browsers behind one address
MOST_LARGE, MOST_LARGE_FROM_AN_ADDRESS = 6, 2  # requests that are gathered at once in files, as a clip is
ANSWER_S = 30.0  # s that a piece of an answer may wait for whoever reads it
LINGER_S = 5.0  # s after an answer in which what is still sent is thrown away, so that the answer is read
MOST_LINGER = 64
GO_ON = b"HTTP/1.1 100 Continue\r\n\r\n"


def _short_answer(status: str, words: str) -> bytes:
    """For somebody whose request is not whole, so that no page answers it."""
    body = f"<!doctype html><title>{words}</title><p>{words}</p>".encode()
    head = f"HTTP/1.1 {status}\r\nContent-Type: text/html; charset=utf-8\r\nContent-Length: {len(body)}\r\n"
    return f"{head}Connection: close\r\nRetry-After: 60\r\n\r\n".encode() + body


TOO_SLOW = _short_answer("408 Request Timeout", "What you sent came too slowly. Nothing was saved: please try again.")
TOO_MANY = _short_answer(
    "503 Service Unavailable", "Too much is being sent to us at once. Please try again in a minute."
)


class Connection(TConn):  # type: ignore[misc]  # gunicorn ships no types
    """arrived: the request that a thread answers."""

    def __init__(self, worker: PatientWorker, sock: socket.socket, client: Any, server: Any) -> None:
        super().__init__(worker.cfg, sock, client, server)
        self.worker = worker
        self.address = client[0] if isinstance(client, tuple) else ""
        self.arrived: Arriving | None = None
        self.initialized = self.data_ready = True  # no thread looks for what has not arrived
        self.is_counted = True

    def take(self, arrived: Arriving) -> None:
        self.arrived, self.parser = arrived, RequestParser(self.cfg, arrived.pieces(), self.client)

    def close(self, graceful: bool = False) -> None:
        """graceful: an answer was given, and may still have to be read."""
        self.worker.forget(self)
        if graceful:
            self.worker.linger(self)
        else:
            util.close(self.sock)


class PatientWorker(ThreadWorker):  # type: ignore[misc]
    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        gc.freeze()  # still in the parent: what is loaded there stays shared, as in garage/celery.py
        self._waiting: dict[Connection, Arriving] = {}  # the one that has waited longest first
        self._lingering: dict[Connection, float] = {}  # until when
        self._from_address: Counter[str] = Counter()

    def accept(self, listener: socket.socket) -> None:
        try:
            sock, client = listener.accept()
        except OSError as error:
            if error.errno not in (errno.EAGAIN, errno.ECONNABORTED, errno.EWOULDBLOCK):
                raise
            return
        connection = Connection(self, sock, client, listener.getsockname())
        self.nr_conns += 1
        self._from_address[connection.address] += 1
        self._await(connection)
        if self._from_address[connection.address] > MOST_FROM_AN_ADDRESS and not self.is_proxy(connection):
            self._drop_the_longest_waiting(connection.address)
        if self.nr_conns >= self.worker_connections:
            self._drop_the_longest_waiting(None)

    def on_client_socket_readable(self, connection: Connection, _sock: socket.socket) -> None:
        """Another request on a connection that was kept."""
        self.poller.unregister(connection.sock)
        self.keepalived_conns.remove(connection)
        self._await(connection)
        self._receive(connection)

    def murder_pending(self) -> None:
        """Called by the loop once a second and after each event."""
        now_s = time.monotonic()
        for connection, arriving in list(self._waiting.items()):
            if arriving.is_late(now_s) or not (self.alive or arriving.received_bytes):
                self._let_go(connection, TOO_SLOW if arriving.received_bytes else b"")
        for connection, until_s in list(self._lingering.items()):
            if now_s > until_s:
                self._end_lingering(connection)

    def handle(self, connection: Connection) -> bool:
        """Whether the connection is kept. Of requests sent without waiting for an answer the first counts."""
        try:
            is_kept = super().handle(connection)
            return bool(is_kept) and not connection.parser.unreader.buf.getvalue()
        finally:
            if connection.arrived:
                connection.arrived.forget()

    def handle_request(self, request: Request, connection: Connection) -> bool:
        connection.sock.settimeout(ANSWER_S)
        if connection.arrived and connection.arrived.is_cut:
            request.force_close()
        request.headers = self.headers_that_count(request.headers, connection)
        try:
            return bool(super().handle_request(request, connection))
        except TimeoutError as nobody_reads:
            raise ConnectionResetError(errno.ECONNRESET, "nobody takes the answer") from nobody_reads

    def linger(self, connection: Connection) -> None:
        """RFC 9112, 9.6: closed while somebody is still sending, the answer would be lost with what was not read."""
        try:
            connection.sock.shutdown(socket.SHUT_WR)
            connection.sock.setblocking(False)
            self.poller.register(connection.sock, selectors.EVENT_READ, lambda _sock: self._throw_away(connection))
        except (OSError, ValueError, KeyError):
            util.close(connection.sock)
            return
        self._lingering[connection] = time.monotonic() + LINGER_S
        if len(self._lingering) > MOST_LINGER:
            self._end_lingering(next(iter(self._lingering)))

    def is_proxy(self, connection: Connection) -> bool:
        """Whether it may speak for others: their addresses come in its headers, and it has them wait itself."""
        if "*" in self.cfg.forwarded_allow_ips or not connection.address:
            return True
        address = ip_address(connection.address)
        return any(address in network for network in self.cfg.forwarded_allow_networks())

    def headers_that_count(self, headers: list[tuple[str, str]], connection: Connection) -> list[tuple[str, str]]:
        if self.is_proxy(connection):
            return headers
        return [(name, value) for name, value in headers if not name.startswith("X-FORWARDED-")]

    def forget(self, connection: Connection) -> None:
        """Its place is free for another one."""
        if connection.is_counted:
            connection.is_counted = False
            self._from_address[connection.address] -= 1
            self._from_address += Counter()  # without those at 0

    def _await(self, connection: Connection) -> None:
        connection.sock.setblocking(False)
        self._waiting[connection] = Arriving(self._most_bytes, time.monotonic())
        self.poller.register(connection.sock, selectors.EVENT_READ, lambda _sock: self._receive(connection))

    def _receive(self, connection: Connection) -> None:
        arriving = self._waiting.get(connection)
        if arriving is None:  # let go a moment ago
            return
        try:
            data = connection.sock.recv(PIECE_BYTES)
        except (BlockingIOError, InterruptedError):
            return
        except OSError:
            data = b""
        if not data:
            self._let_go(connection)
            return
        arriving.add(data)
        if arriving.is_whole:
            self._stop_waiting(connection)
            connection.take(arriving)
            self.enqueue_req(connection)
        elif arriving.is_large and self._has_enough_large(connection):
            self._let_go(connection, TOO_MANY)
        elif arriving.goes_on:
            arriving.goes_on = False
            with contextlib.suppress(OSError):
                connection.sock.send(GO_ON)

    def _has_enough_large(self, connection: Connection) -> bool:
        large = [each.address for each, arriving in self._waiting.items() if arriving.is_large]
        from_here = 0 if self.is_proxy(connection) else large.count(connection.address)
        return len(large) > MOST_LARGE or from_here > MOST_LARGE_FROM_AN_ADDRESS

    def _drop_the_longest_waiting(self, address: str | None) -> None:
        """Among all for None. Where none waits the newest has to wait for those that are answered."""
        for connection in self._waiting:
            if address in (None, connection.address):
                self._let_go(connection)
                return

    def _let_go(self, connection: Connection, words: bytes = b"") -> None:
        self._stop_waiting(connection).forget()
        self.nr_conns -= 1
        if words:
            with contextlib.suppress(OSError):
                connection.sock.send(words)
        connection.close(graceful=bool(words))

    def _stop_waiting(self, connection: Connection) -> Arriving:
        with contextlib.suppress(OSError, KeyError, ValueError):
            self.poller.unregister(connection.sock)
        return self._waiting.pop(connection)

    def _throw_away(self, connection: Connection) -> None:
        if connection not in self._lingering:
            return
        try:
            if not connection.sock.recv(PIECE_BYTES):
                self._end_lingering(connection)
        except (BlockingIOError, InterruptedError):
            return
        except OSError:
            self._end_lingering(connection)

    def _end_lingering(self, connection: Connection) -> None:
        del self._lingering[connection]
        with contextlib.suppress(OSError, KeyError, ValueError):
            self.poller.unregister(connection.sock)
        util.close(connection.sock)

    def _most_bytes(self, method: str, target: str) -> int:
        return int(self.wsgi.most_body_bytes(method, target))
