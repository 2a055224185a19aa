"""A mail server on loopback that keeps what it is handed: as much of RFC 5321 as a sender needs."""

from __future__ import annotations

import contextlib
import socketserver
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage


@dataclass
class MailServer:
    url: str
    mails: list[EmailMessage] = field(default_factory=list)


class _Talk(socketserver.StreamRequestHandler):
    def handle(self) -> None:
        self._say("220 mail.example.org")
        while line := self.rfile.readline():
            word = line.split(maxsplit=1)[0].upper() if line.strip() else b""
            if word == b"DATA":
                self._say("354 go ahead")
                self._keep()
                self._say("250 kept")
            elif word == b"QUIT":
                self._say("221 bye")
                return
            elif word in (b"EHLO", b"HELO", b"MAIL", b"RCPT", b"RSET", b"NOOP"):
                self._say("250 yes")
            else:
                self._say("502 not known here")

    def _keep(self) -> None:
        lines = []
        while (line := self.rfile.readline()) not in (b".\r\n", b""):
            lines.append(line.removeprefix(b".") if line.startswith(b"..") else line)
        self.server.kept.mails.append(message_from_bytes(b"".join(lines), policy=policy.default))

    def _say(self, line: str) -> None:
        self.wfile.write(line.encode("ascii") + b"\r\n")


class _Server(socketserver.ThreadingTCPServer):
    daemon_threads = True
    allow_reuse_address = True


@contextlib.contextmanager
def mail_server() -> Iterator[MailServer]:
    with _Server(("127.0.0.1", 0), _Talk) as server:
        server.kept = MailServer(f"smtp://127.0.0.1:{server.server_address[1]}")
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        try:
            yield server.kept
        finally:
            server.shutdown()
            thread.join()
