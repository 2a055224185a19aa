"""Kombu's filesystem broker, with files that appear whole, and one that nobody can read set aside.

Kombu opens a file under its final name and then writes into it. A worker that reads it in between gets an empty
message, cannot parse it and dies (seen with kombu 5.7 on a busy machine). Here a file gets its final name once it is
written. What is no message all the same, after a power cut or by somebody's hand, ends no worker either: it goes into
a folder of its own. No work is lost by it, since the rows are still due.
"""

from __future__ import annotations

import base64
import fcntl
import logging
import os
import uuid
from collections.abc import Mapping
from pathlib import Path
from queue import Empty
from time import monotonic
from typing import Any

from kombu.exceptions import ChannelError
from kombu.transport import filesystem
from kombu.transport.filesystem import exchange_queue_t
from kombu.utils.json import dumps, loads

from garage.running.brokers.set_aside import SET_ASIDE

TAKEN = ".taken"  # ends the name of a message while its reader has it: no queue looks for that

log = logging.getLogger(__name__)


class Channel(filesystem.Channel):
    def _put(self, queue: str, payload: Any, **_given: Any) -> None:  # type: ignore[override]  # as in its own base
        """Names sort by time, as in kombu."""
        name = f"{round(monotonic() * 1000)}_{uuid.uuid4()}.{queue}.msg"
        _write_whole(Path(self.data_folder_out) / name, payload)

    def _get(self, queue: str, **_given: Any) -> Any:  # type: ignore[override]  # as in its own base
        """The oldest message. It is taken by a rename within its own folder, which one reader alone can do."""
        folder = Path(self.data_folder_in)
        for name in sorted(os.listdir(folder)):
            if name.partition(".")[2] != f"{queue}.msg":
                continue
            taken = folder / f"{name}{TAKEN}"
            try:
                os.replace(folder / name, taken)
                given = taken.read_bytes()
            except OSError:  # somebody else was quicker, or the disk is read-only: then it stays where it is
                continue
            message = _message(given)
            if message is None:
                _set_aside(taken, folder.parent / SET_ASIDE / name)
                continue
            taken.unlink(missing_ok=True)
            return message
        raise Empty

    def get_table(self, exchange: str) -> list[exchange_queue_t]:  # type: ignore[override]  # the stubs disagree
        """Which queues an exchange feeds. If nobody can read that any more: the one that Celery gives its name."""
        file = self._file_of(exchange)
        try:
            given = file.read_bytes()
        except FileNotFoundError:
            return []
        except OSError as error:
            raise ChannelError(f"Cannot open {file}") from error
        table = _table(given)
        if table is None:
            _set_aside(file, file.parent.parent / SET_ASIDE / f"{file.name}-{uuid.uuid4()}")
            table = [exchange_queue_t(exchange, "", exchange)]
            _write_whole(file, table)
        return table

    def _queue_bind(self, exchange: str, routing_key: str | None, pattern: str | None, queue: str) -> None:
        self.control_folder.mkdir(exist_ok=True)
        place = os.open(self.control_folder, os.O_RDONLY)
        try:
            fcntl.flock(place, fcntl.LOCK_EX)
            table, bound = self.get_table(exchange), exchange_queue_t(routing_key or "", pattern or "", queue or "")
            if bound not in table:
                _write_whole(self._file_of(exchange), [bound, *table])
        finally:
            os.close(place)

    def _file_of(self, exchange: str) -> Path:
        file: Path = self._exchange_file(exchange)  # type: ignore[attr-defined]  # it checks the name; no stub has it
        return file


class Transport(filesystem.Transport):
    Channel = Channel


def _write_whole(file: Path, what: Any) -> None:
    """Until it is written it has a name that nobody looks for."""
    part = file.with_name(f"{file.name}.{uuid.uuid4().hex}.part")
    try:
        part.write_bytes(dumps(what).encode())
        os.replace(part, file)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise ChannelError(f"Cannot put {file.name} into its folder: {error}") from error


def _message(given: bytes) -> Mapping[str, Any] | None:
    """None unless a worker can take it in: it has each part that kombu and Celery read before they check anything."""
    try:
        message: Mapping[str, Any] = loads(given.decode())
        return message if _is_whole(message) else None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _is_whole(message: Mapping[str, Any]) -> bool:
    """Raises what a part raises that is something else."""
    properties, headers = message["properties"], message["headers"]
    if not isinstance(properties["delivery_tag"], str) or not isinstance(properties["delivery_info"]["exchange"], str):
        return False
    content = loads(base64.b64decode(message["body"], validate=True).decode())
    if "task" in headers:
        is_named = isinstance(headers["task"], str) and isinstance(headers["id"], str)
        return is_named and isinstance(content, list) and len(content) == 3
    return isinstance(headers, dict) and isinstance(content, dict)  # remote control


def _table(given: bytes) -> list[exchange_queue_t] | None:
    try:
        table = [exchange_queue_t(*row) for row in loads(given.decode())]
    except (ValueError, TypeError, RecursionError):
        return None
    return table if all(isinstance(part, str) for row in table for part in row) else None


def _set_aside(file: Path, place: Path) -> None:
    """On a full disk a rename still goes; where it does not, the file is dropped: it would come again and again."""
    log.error("%s cannot be read and is set aside as %s.", file, place)
    try:
        place.parent.mkdir(mode=0o700, exist_ok=True)
        os.replace(file, place)
    except OSError:
        file.unlink(missing_ok=True)
