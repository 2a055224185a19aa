"""Whether the broker answers is one word, without its address and password."""

import pytest
from celery import Celery

from garage.running.brokers import broker
from tests.processes import free_port


@pytest.fixture
def on(monkeypatch):
    def made(address):
        monkeypatch.setattr(broker, "current_app", Celery("own", broker=address, set_as_current=False))

    return made


def test_one_that_answers_is_well(on):
    on("memory://")
    assert broker.why_away() == ""


def test_one_that_is_away_is_named_by_its_error_alone(on):
    on(f"redis://:secret@127.0.0.1:{free_port()}/0")
    found = broker.why_away()
    assert found
    assert "secret" not in found
    assert "127.0.0.1" not in found
