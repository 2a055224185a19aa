"""What a machine must offer before a garage starts on it: Python, a free port, a folder that can be written to.

No Django here: each check fails with one sentence that says what to do.
"""

from __future__ import annotations

import contextlib
import errno
import os
import socket
import sys
from pathlib import Path

from garage.running.keys import kept_keys, make_first_key

OLDEST_PYTHON = (3, 11)  # the hashed requirements are made for this version and later
ROOM_BYTES = 20_000_000  # bytes: an empty database with its log, the demo, and some photos
FIRST_RUN = "demo-unfinished"  # stands in the folder from before its key is made until the demo is loaded
EVERYWHERE = {"0.0.0.0": "127.0.0.1", "::": "::1"}  # noqa: S104  (how to reach a server on each, nothing is bound)


class Unfit(Exception):
    """One sentence about what is wrong and what helps."""


def check_python(version: tuple[int, ...] = sys.version_info[:3]) -> None:
    """Raises Unfit for a Python older than the requirements are made for.

    >>> check_python((3, 9, 2))
    Traceback (most recent call last):
    garage.running.machine.Unfit: Tickover needs Python 3.11 or newer; this is 3.9.2.
    """
    if version[:2] < OLDEST_PYTHON:
        found, needed = (".".join(map(str, numbers)) for numbers in (version, OLDEST_PYTHON))
        raise Unfit(f"Tickover needs Python {needed} or newer; this is {found}.")


def port_number(text: str) -> int:
    """The port as a number, 1 to 65535. Raises Unfit.

    >>> port_number("8000")
    8000
    """
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise Unfit(f"PORT is {text!r}; a port is a whole number from 1 to 65535.")
    return int(text)


def check_port(host: str, port: int) -> None:
    """Raises Unfit if a server could not listen there."""
    try:
        family, kind, protocol, _, place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except socket.gaierror:
        raise Unfit(f"HOST is {host!r}, which is not an address of this machine.") from None
    with socket.socket(family, kind, protocol) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(place)
            trial.listen(1)
        except OSError as error:
            raise Unfit(port_sentence(error, host, port)) from None


def port_sentence(error: OSError, host: str, port: int) -> str:
    """What the system's refusal of a port means.

    >>> port_sentence(OSError(errno.EADDRINUSE, "in use"), "127.0.0.1", 8000)
    'Port 8000 on 127.0.0.1 is in use; stop what listens there or choose another with PORT=8001.'
    """
    if error.errno == errno.EADDRINUSE:
        other = port + 1 if port < 65535 else 8000
        return f"Port {port} on {host} is in use; stop what listens there or choose another with PORT={other}."
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"Port {port} is kept for the system; choose one from 1024 up, such as PORT=8000."
    return f"HOST is {host!r}, which is not an address of this machine ({error.strerror})."


def check_folder(folder: Path) -> None:
    """Makes the folder and proves that it can be written to. Raises Unfit."""
    trial = folder / f"trial-{os.getpid()}"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        try:
            trial.write_bytes(b"\0" * 65536)
        finally:
            with contextlib.suppress(FileNotFoundError):
                trial.unlink()
        room = os.statvfs(folder)
        if room.f_bavail * room.f_frsize < ROOM_BYTES:
            raise OSError(errno.ENOSPC, "too little room")
    except OSError as error:
        raise Unfit(folder_sentence(error, folder)) from None


def folder_sentence(error: OSError, folder: Path) -> str:
    """What the system's refusal to write means.

    >>> folder_sentence(OSError(errno.EROFS, "read-only"), Path("/srv/kept"))
    '/srv/kept cannot be written to; make it writable or choose another folder with DATA=/path.'
    >>> folder_sentence(OSError(errno.ENOSPC, "full"), Path("/srv/kept"))
    'The disk that holds /srv/kept is full; 20 MB must be free, or choose another folder with DATA=/path.'
    """
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        free = f"{ROOM_BYTES // 1_000_000} MB must be free"
        return f"The disk that holds {folder} is full; {free}, or choose another folder with DATA=/path."
    if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
        return f"{folder} cannot be written to; make it writable or choose another folder with DATA=/path."
    return f"{folder} cannot be used ({error.strerror}); choose another folder with DATA=/path."


def make_secret_key(folder: Path, *, demo: str) -> None:
    """Makes, once, the key that signs links and sessions. demo: "first" marks the folder as one for the demo."""
    try:
        if not kept_keys(folder):
            if demo == "first":
                (folder / FIRST_RUN).touch()
            make_first_key(folder)
    except OSError as error:
        raise Unfit(folder_sentence(error, folder)) from None


def reachable(host: str) -> str:
    """An address at which a server that listens at host can be reached: loopback for one that listens everywhere."""
    return EVERYWHERE.get(host, host)


def address(host: str, port: int) -> str:
    """The address for links when none was given. Raises Unfit for a server that listens everywhere.

    >>> address("127.0.0.1", 8000), address("::1", 8000)
    ('http://127.0.0.1:8000', 'http://[::1]:8000')
    """
    if host in EVERYWHERE:
        example = f"SITE_URL=http://192.0.2.20:{port}"
        raise Unfit(f"HOST={host} opens the garage to the whole network; say how others reach it, such as {example}")
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"
