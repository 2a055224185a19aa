"""A mail server for tests: takes what is handed to it on a free port, or refuses as it is told (RFC 5321)."""

from __future__ import annotations

import contextlib
import email
import email.policy
import socketserver
import threading
import time
from collections.abc import Callable, Iterator
from email.message import EmailMessage

GREETING, MIDDLE, TAKEN = "greeting", "middle of the mail", "taken"


class _Gone(Exception):
    """The server says nothing more to this one."""


class Postbox(socketserver.ThreadingTCPServer):
    """mails: what came, in order. refuses: the answer to an address, by address, as "550 no such mailbox".

    answers: the answer to a verb, by verb, as "MAIL"; GREETING stands for the first word said, TAKEN for the last one.
    stalls, dies: where it says nothing more and where it hangs up; MIDDLE is after the first lines of a mail. A mail is
    kept before TAKEN is said. slow_s: how long it thinks about each mail, asked anew each time. talking: how many are
    connected; most_talking: at once, at most.
    """

    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Talk)
        self.mails: list[EmailMessage] = []
        self.refuses: dict[str, str] = {}
        self.answers: dict[str, str] = {}
        self.stalls: set[str] = set()
        self.dies: set[str] = set()
        self.slow_s: Callable[[], float] = float
        self.go_on = threading.Event()
        self.talking = self.most_talking = 0
        self.came = threading.Condition()

    @property
    def url(self) -> str:
        return f"smtp://127.0.0.1:{self.server_address[1]}"

    def let_go(self) -> None:
        """It stalls nowhere any more, and hangs up on those that wait for it."""
        self.stalls.clear()
        self.go_on.set()
        self.go_on = threading.Event()

    def wait_for(self, count: int, seconds: float = 60.0) -> list[EmailMessage]:
        with self.came:
            if not self.came.wait_for(lambda: len(self.mails) >= count, seconds):
                raise AssertionError(f"{len(self.mails)} mails came in {seconds} s, not {count}.")
        return self.mails


class _Talk(socketserver.StreamRequestHandler):
    server: Postbox

    def handle(self) -> None:
        with self.server.came:
            self.server.talking += 1
            self.server.most_talking = max(self.server.talking, self.server.most_talking)
        with contextlib.suppress(_Gone, ConnectionError):
            self.talk()
        with self.server.came:
            self.server.talking -= 1

    def talk(self) -> None:
        self.answer(GREETING, "220 postbox")
        for line in iter(self.rfile.readline, b""):
            words = line.decode().strip()
            verb = words[:4].upper()
            if verb == "QUIT":
                self.say("221 bye")
                return
            if verb == "DATA":
                if self.answer("DATA", "354 go on").startswith("354"):
                    self.take()
            elif verb == "RCPT":
                address = words.split("<", 1)[1].split(">", 1)[0]
                self.answer(verb, self.server.refuses.get(address, "250 fine"))
            else:
                self.answer(verb, "250 fine")

    def take(self) -> None:
        if MIDDLE in self.server.stalls | self.server.dies:
            self.rfile.readline()
            self.answer(MIDDLE, "")
        written = list(self.lines())
        lines = [line[1:] if line.startswith(b"..") else line for line in written]
        if TAKEN in self.server.answers:
            self.say(self.server.answers[TAKEN])
            return
        mail = email.message_from_bytes(b"".join(lines), policy=email.policy.default)
        with self.server.came:
            self.server.mails.append(mail)
            self.server.came.notify_all()
        time.sleep(self.server.slow_s())
        self.answer(TAKEN, "250 taken")

    def lines(self) -> Iterator[bytes]:
        while (line := self.rfile.readline()) != b".\r\n":
            if not line:
                raise _Gone  # whoever sent it is gone: what came is no mail
            yield line

    def answer(self, when: str, words: str) -> str:
        """What it said, of its own or as it was told."""
        if when in self.server.stalls:
            self.server.go_on.wait()
            raise _Gone
        if when in self.server.dies:
            raise _Gone
        words = self.server.answers.get(when, words)
        self.say(words)
        return words

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
            box.let_go()
            box.shutdown()
            thread.join()
