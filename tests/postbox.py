"""A mail server for tests: takes what is handed to it on a free port, or refuses as it is told (RFC 5321)."""

from __future__ import annotations

import contextlib
import email
import email.policy
import socketserver
import threading
from collections.abc import Iterator
from email.message import EmailMessage

GREETING, TAKEN = "greeting", "taken"


class Postbox(socketserver.ThreadingTCPServer):
    """mails: what came, in order. refuses: the answer to an address, by address, as "550 no such mailbox".

    answers: the answer to a verb, by verb, as "MAIL"; GREETING stands for the first word said, TAKEN for the last one.
    """

    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Talk)
        self.mails: list[EmailMessage] = []
        self.refuses: dict[str, str] = {}
        self.answers: dict[str, str] = {}
        self.came = threading.Condition()

    @property
    def url(self) -> str:
        return f"smtp://127.0.0.1:{self.server_address[1]}"

    def wait_for(self, count: int, seconds: float = 60.0) -> list[EmailMessage]:
        with self.came:
            if not self.came.wait_for(lambda: len(self.mails) >= count, seconds):
                raise AssertionError(f"{len(self.mails)} mails came in {seconds} s, not {count}.")
        return self.mails


class _Talk(socketserver.StreamRequestHandler):
    server: Postbox

    def handle(self) -> None:
        self.say(self.server.answers.get(GREETING, "220 postbox"))
        for line in iter(self.rfile.readline, b""):
            words = line.decode().strip()
            verb = words[:4].upper()
            if verb == "QUIT":
                self.say("221 bye")
                return
            if verb in self.server.answers:
                self.say(self.server.answers[verb])
            elif verb == "DATA":
                self.say("354 go on")
                self.take()
            elif verb == "RCPT":
                address = words.split("<", 1)[1].split(">", 1)[0]
                self.say(self.server.refuses.get(address, "250 fine"))
            else:
                self.say("250 fine")

    def take(self) -> None:
        written = iter(self.rfile.readline, b".\r\n")
        lines = [line[1:] if line.startswith(b"..") else line for line in written]
        if TAKEN in self.server.answers:
            self.say(self.server.answers[TAKEN])
            return
        mail = email.message_from_bytes(b"".join(lines), policy=email.policy.default)
        with self.server.came:
            self.server.mails.append(mail)
            self.server.came.notify_all()
        self.say("250 taken")

    def say(self, words: str) -> None:
        self.wfile.write(words.encode() + b"\r\n")


@contextlib.contextmanager
def postbox() -> Iterator[Postbox]:
    with Postbox() as box:
        thread = threading.Thread(target=box.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
        thread.start()
        try:
            yield box
        finally:
            box.shutdown()
            thread.join()
