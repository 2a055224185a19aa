"""A broker that is away fails no page and holds none up: what was wanted stands in the database."""

from __future__ import annotations

import contextlib
import logging
import socket
import threading
from collections.abc import Iterator

import pytest
from celery import Celery, current_app
from django.urls import reverse
from django.utils import timezone

from garage import celery, wake
from garage.changes.mail import messages
from garage.reads.messages import due
from garage.reads.shop import the_shop
from tests.factories import garage as make
from tests.processes import free_port

TASK = messages.SEND_DUE


class Hangs(threading.Thread):
    """Listens on a port and hangs up on whoever comes, or says nothing; came: how many that were."""

    def __init__(self, *, up: bool) -> None:
        super().__init__(daemon=True)
        self.up, self.came, self.door = up, 0, socket.create_server(("127.0.0.1", 0))
        self.kept: list[socket.socket] = []

    @property
    def url(self) -> str:
        return f"redis://127.0.0.1:{self.door.getsockname()[1]}/0"

    def run(self) -> None:
        with contextlib.suppress(OSError):  # the door is shut
            while True:
                asked, _ = self.door.accept()
                self.came += 1
                if self.up:
                    asked.close()
                else:
                    self.kept.append(asked)

    def __enter__(self) -> Hangs:
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.door.shutdown(socket.SHUT_RDWR)
        self.join()
        for asked in (*self.kept, self.door):
            asked.close()


@pytest.fixture(autouse=True)
def fresh(monkeypatch, settings, tmp_path):
    """Nothing is known of any broker yet, and a silent one is soon given up."""
    monkeypatch.setattr(wake._Trouble, "until_s", 0.0)
    monkeypatch.setattr(celery, "REDIS_ANSWER_S", 0.2)
    settings.DATA = tmp_path


@contextlib.contextmanager
def broker(url: str) -> Iterator[None]:
    """Tasks are sent there, with the options of a garage."""
    before, other = current_app._get_current_object(), Celery("other", set_as_current=False)
    other.conf.update(broker_url=url, broker_transport_options=celery.transport_options(url), task_ignore_result=True)
    other.set_current()
    try:
        yield
    finally:
        before.set_current()
        other.close()


@contextlib.contextmanager
def no_folder(data):
    with broker("filesystem://localhost"):
        yield


@contextlib.contextmanager
def folder_is_a_file(data):
    (data / "broker").touch()
    with broker("filesystem://localhost"):
        yield


@contextlib.contextmanager
def nobody_listens(data):
    with broker(f"redis://127.0.0.1:{free_port()}/0"):
        yield


@contextlib.contextmanager
def hangs_up(data):
    with Hangs(up=True) as other, broker(other.url):
        yield


@contextlib.contextmanager
def says_nothing(data):
    with Hangs(up=False) as other, broker(other.url):
        yield


away = pytest.mark.parametrize("broker_away", [no_folder, folder_is_a_file, nobody_listens, hangs_up, says_nothing])


@away
@pytest.mark.django_db
def test_a_page_is_answered_and_its_mail_is_due_while_the_broker_is_away(
    broker_away, client, tmp_path, settings, caplog, django_capture_on_commit_callbacks
):
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    make.shop()
    visit = make.visit()
    given = {"to": visit.owner.email, "visit": visit, "shop": the_shop(), "context": {}}
    message = messages.write("visit_booked", **given, now=timezone.now())
    messages.mark_not_sent(message, why="It failed.", for_good=True, at=timezone.now())
    client.force_login(make.front_desk())
    with broker_away(tmp_path), django_capture_on_commit_callbacks(execute=True) as sent:
        answer = client.post(reverse("sent-again", args=[message.id]))
    assert (answer.status_code, len(sent)) == (302, 1)
    assert list(due(timezone.now())) == [message]
    assert [row.getMessage().split(" (")[0] for row in caplog.records if row.name == "garage.wake"] == [
        "The broker cannot be reached"
    ]


@pytest.mark.django_db
def test_a_broker_that_is_away_is_asked_once_and_then_left_alone_for_a_while(
    monkeypatch, caplog, django_capture_on_commit_callbacks
):
    caplog.set_level(logging.WARNING, "garage.wake")
    with Hangs(up=True) as other, broker(other.url):
        with django_capture_on_commit_callbacks(execute=True):
            for _ in range(10):
                wake.wake(TASK)
        assert other.came == 1
        monkeypatch.setattr(wake._Trouble, "until_s", 0.0)
        with django_capture_on_commit_callbacks(execute=True):
            wake.wake(TASK)
        assert other.came == 2
    assert len(caplog.records) == 2


@pytest.mark.django_db
def test_a_broker_that_is_back_is_sent_to_again(tmp_path, monkeypatch, django_capture_on_commit_callbacks):
    with no_folder(tmp_path):
        with django_capture_on_commit_callbacks(execute=True):
            wake.wake(TASK)
        tasks = tmp_path / "broker" / "tasks"
        tasks.mkdir(parents=True)
        monkeypatch.setattr(wake._Trouble, "until_s", 0.0)
        with django_capture_on_commit_callbacks(execute=True):
            wake.wake(TASK)
    assert len(list(tasks.glob("*.msg"))) == 1
