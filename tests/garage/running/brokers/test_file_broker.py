"""A message in the folder of tasks is whole as soon as a worker can see it, and one that is none ends no worker."""

import base64
import json
import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from queue import Empty

import pytest
from celery import Celery
from kombu import Connection
from kombu.transport import filesystem

from garage.celery import app
from garage.running.brokers import file_broker
from garage.running.brokers.set_aside import set_aside


class Watching:
    """Looks into the folder at the moment at which it is written out."""

    def __init__(self, folder):
        self.folder, self.seen = folder, None

    def __json__(self):
        self.seen = [path.name for path in self.folder.iterdir() if path.name.endswith(".msg")]
        return "written"


def put_and_look(transport, folder):
    options = {"data_folder_in": str(folder), "data_folder_out": str(folder), "control_folder": str(folder / "control")}
    watching = Watching(folder)
    with Connection("memory://", transport=transport, transport_options=options) as connection:
        channel = connection.channel()
        channel._put("celery", {"body": watching})
        return watching.seen, [json.loads(path.read_text()) for path in folder.glob("*.msg")]


def test_a_message_has_its_name_as_soon_as_it_is_written(tmp_path):
    assert put_and_look(file_broker.Transport, tmp_path) == ([], [{"body": "written"}])
    assert [path.suffix for path in tmp_path.iterdir() if path.is_file()] == [".msg"]


def test_twin_kombus_own_can_be_taken_before_it_is_written(tmp_path):
    seen, _ = put_and_look(filesystem.Transport, tmp_path)
    assert len(seen) == 1


def test_the_broker_on_files_is_recognised():
    with app.connection_for_write("filesystem://localhost") as connection:
        assert isinstance(connection.transport, file_broker.Transport)


@contextmanager
def a_broker(data: Path) -> Iterator[tuple[file_broker.Channel, Callable[[], None]]]:
    """A worker's end of the broker under data, and what puts a task into it as a page does."""
    tasks = data / "broker" / "tasks"
    tasks.mkdir(parents=True, exist_ok=True)
    options = {"data_folder_in": str(tasks), "data_folder_out": str(tasks), "control_folder": str(data / "broker/ctl")}
    own = Celery("own", broker="filesystem://", set_as_current=False)
    own.conf.broker_transport_options = options
    with own.connection_for_read() as connection:
        yield connection.channel(), lambda: own.send_task("garage.tasks.send_due", retry=False)


def whole(folder: Path) -> dict:
    """A message as Celery writes it."""
    with a_broker(folder) as (channel, put):
        put()
        return channel._get("celery")


def with_body(message: dict, content: str) -> dict:
    return message | {"body": base64.b64encode(content.encode()).decode()}


POISON = {
    "nothing in it": lambda message: b"",
    "half of it": lambda message: json.dumps(message).encode()[:120],
    "a number": lambda message: b"5",
    "no text": lambda message: b"\xff\xfe\x00",
    "zeros of a power cut": lambda message: b"\0" * 400,
    "a body that is a number": lambda message: json.dumps(message | {"body": 5}).encode(),
    "a number inside the body": lambda message: json.dumps(with_body(message, "5")).encode(),
    "a body that is no base64": lambda message: json.dumps(message | {"body": "5"}).encode(),
    "no properties": lambda message: json.dumps({"body": message["body"], "headers": message["headers"]}).encode(),
    "headers that are a number": lambda message: json.dumps(message | {"headers": 5}).encode(),
    "no name of a task": lambda message: json.dumps(message | {"headers": {"id": "a"}}).encode(),
    "a delivery that is a number": lambda message: json.dumps(message | {"properties": {"delivery_info": 5}}).encode(),
}


@pytest.mark.parametrize("made", POISON.values(), ids=POISON.keys())
def test_what_is_no_message_is_set_aside_and_the_next_one_is_read(tmp_path, caplog, made):
    given = made(whole(tmp_path))
    poison = tmp_path / "broker" / "tasks" / "1_first.celery.msg"
    poison.write_bytes(given)
    with a_broker(tmp_path) as (channel, put), caplog.at_level(logging.ERROR):
        put()
        assert channel._get("celery")["headers"]["task"] == "garage.tasks.send_due"
        with pytest.raises(Empty):
            channel._get("celery")
    assert (tmp_path / "broker" / "set-aside" / "1_first.celery.msg").read_bytes() == given
    assert list(poison.parent.iterdir()) == []
    assert "cannot be read and is set aside" in caplog.text
    assert set_aside(tmp_path).count == 1
    assert datetime.now(UTC) - set_aside(tmp_path).since < timedelta(minutes=5)


def test_nothing_is_set_aside_in_a_garage_that_is_well(tmp_path):
    assert (set_aside(tmp_path).count, set_aside(tmp_path).since) == (0, None)


def test_what_is_asked_of_all_workers_is_no_poison(tmp_path):
    told = {"body": base64.b64encode(b'{"method": "ping"}').decode(), "headers": {}}
    message = told | {"properties": whole(tmp_path)["properties"]}
    (tmp_path / "broker" / "tasks" / "1_all.one.celery.pidbox.msg").write_text(json.dumps(message))
    with a_broker(tmp_path) as (channel, _):
        assert channel._get("one.celery.pidbox") == message


@pytest.mark.parametrize("given", [b"", b'[["celery", ', b"5", b"[5]", b"[[5, 6, 7]]"])
def test_a_list_of_queues_that_nobody_can_read_is_made_anew(tmp_path, given):
    (tmp_path / "broker" / "ctl").mkdir(parents=True)
    (tmp_path / "broker" / "ctl" / "celery.exchange").write_bytes(given)
    with a_broker(tmp_path) as (channel, put):
        assert channel.get_table("celery") == [("celery", "", "celery")]
        put()
        assert channel._get("celery")["headers"]["task"] == "garage.tasks.send_due"
    assert set_aside(tmp_path).count == 1
