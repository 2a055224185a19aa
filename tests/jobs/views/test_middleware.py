"""What Prometheus is told, to whom, and that nothing in it is about anybody."""

from __future__ import annotations

from datetime import timedelta

import pytest
from celery.signals import task_postrun, task_prerun
from django.db import OperationalError, connection
from django.db.backends.signals import connection_created
from django.test import Client
from django.urls import get_resolver, reverse
from django.utils import timezone
from prometheus_client.parser import text_string_to_metric_families

from diagnostics.hearing.models.clips import Clip
from garage.core.time import clock
from garage.models.messages import Message
from garage.models.visits import SoldPiece
from garage.running.measuring import counts
from garage.tasks import act_on_silence
from tests.factories import garage as factory

pytestmark = pytest.mark.django_db
LABELS = ("route", "task", "statement", "what", "at", "method", "status", "outcome")
METRICS = "jobs.views.middleware.MetricsMiddleware"
TOKEN = "0123456789abcdef"
COUNTED, DONE, QUERIES = "tickover_requests_total", "tickover_tasks_total", "tickover_database_seconds_count"


@pytest.fixture(autouse=True)
def _on(settings, tmp_path, monkeypatch):
    """As METRICS=on switches it on, with a folder of its own."""
    settings.DATA = tmp_path
    here = settings.MIDDLEWARE.index("garage.views.packed.PackedTextMiddleware")
    around, within = settings.MIDDLEWARE[:here], settings.MIDDLEWARE[here:]
    settings.MIDDLEWARE = [*around, METRICS, *within]
    factory.shop()
    factory.person()
    counts.counts.cache_clear()
    monkeypatch.setenv("PROMETHEUS_MULTIPROC_DIR", str(tmp_path / counts.FOLDER))
    yield
    counts.counts.cache_clear()
    connection_created.disconnect(dispatch_uid="metrics")
    connection.execute_wrappers.clear()


def told(client: Client, **given: object) -> dict[str, dict[tuple[str, ...], float]]:
    """By the name of a number, and the values of its labels."""
    answer = client.get("/metrics", **given)
    assert answer.status_code == 200
    found: dict[str, dict[tuple[str, ...], float]] = {}
    for family in text_string_to_metric_families(answer.text):
        for one in family.samples:
            found.setdefault(one.name, {})[tuple(one.labels[name] for name in LABELS if name in one.labels)] = one.value
    return found


def test_switched_off_there_is_no_such_page(client, settings):
    settings.MIDDLEWARE = [one for one in settings.MIDDLEWARE if one != METRICS]
    assert client.get("/metrics").status_code == 404


@pytest.mark.parametrize(
    ("address", "headers", "status"),
    [
        ("127.0.0.1", {}, 200),
        ("::1", {}, 200),
        ("192.0.2.7", {}, 404),
        ("", {}, 404),
        ("127.0.0.1", {"X-Forwarded-For": "192.0.2.7"}, 404),
        ("127.0.0.1", {"Forwarded": "for=192.0.2.7"}, 404),
        ("127.0.0.1", {"X-Real-IP": "192.0.2.7"}, 404),
        ("192.0.2.7", {"X-Forwarded-For": "127.0.0.1"}, 404),
        ("192.0.2.7", {"Authorization": "Bearer "}, 404),
    ],
)
def test_without_a_token_only_this_computer_itself_is_told(client, address, headers, status):
    assert client.get("/metrics", REMOTE_ADDR=address, headers=headers).status_code == status


@pytest.mark.parametrize(
    ("address", "given", "status"),
    [
        ("192.0.2.7", f"Bearer {TOKEN}", 200),
        ("192.0.2.7", f"Bearer {TOKEN}x", 404),
        ("192.0.2.7", TOKEN, 404),
        ("192.0.2.7", "Bearer \xe4", 404),
        ("127.0.0.1", "", 404),
    ],
)
def test_with_a_token_whoever_gives_it_is_told_and_nobody_else(client, settings, address, given, status):
    settings.METRICS_TOKEN = TOKEN
    assert client.get("/metrics", REMOTE_ADDR=address, headers={"Authorization": given}).status_code == status


def test_it_needs_no_name_of_the_site_no_https_and_is_kept_nowhere(client, settings):
    settings.SECURE_SSL_REDIRECT = True
    answer = client.get("/metrics", headers={"host": "web:8000"})
    assert (answer.status_code, answer["Cache-Control"]) == (200, "no-store")


def test_a_request_is_counted_by_its_route_and_never_by_its_address(client):
    visit = factory.visit(starts_at=timezone.now())
    client.get(reverse("visit", args=[visit.number]))
    client.get(reverse("owner-visit", args=["hush-token"]))
    client.get("/hush-name/")
    client.generic("HUSH", "/guides/")
    client.get("/guides/")
    client.get("/guides/")
    found = told(client)
    assert found[COUNTED]["guides", "GET", "200"] == found["tickover_request_seconds_count"]["guides", "GET"] == 2
    assert found[COUNTED]["visit", "GET", "302"] == found[COUNTED]["none", "GET", "404"] == 1
    assert found[COUNTED]["owner-visit", "GET", "410"] == 1
    assert ("guides", "other", "405") in found[COUNTED]
    names = {str(name) for name in get_resolver().reverse_dict if isinstance(name, str)} | {counts.NO_ROUTE}
    assert {labels[0] for labels in found[COUNTED]} <= names
    assert b"hush" not in client.get("/metrics").content.lower()


def test_a_task_is_counted_with_its_outcome_and_its_time(client):
    task_prerun.connect(counts._task_begins)
    task_postrun.connect(counts._task_ended)
    act_on_silence.apply()
    task_prerun.disconnect(counts._task_begins)
    task_postrun.disconnect(counts._task_ended)
    found = told(client)
    assert found[DONE] == {("garage.tasks.act_on_silence", "success"): 1}
    assert found["tickover_task_seconds_count"] == {("garage.tasks.act_on_silence",): 1}


def test_time_in_the_database_is_counted_by_the_kind_of_statement(client):
    client.get("/guides/")
    before = told(client)[QUERIES].get(("select",), 0)
    Message.objects.exists()
    Message.objects.update(tries=0)
    after = told(client)[QUERIES]
    assert after["update",] == 1
    assert after["select",] > before


def test_what_other_processes_have_counted_is_added(client, monkeypatch):
    client.get("/guides/")
    monkeypatch.setattr(counts, "process_name", lambda: "another-7")
    counts.counts.cache_clear()
    client.get("/guides/")
    assert told(client)[COUNTED]["guides", "GET", "200"] == 2


def test_what_waits_what_failed_and_what_is_sold_is_told_from_the_rows(client):
    now = timezone.now()
    words = {"what": "fresh_link", "to": "jo@example.org", "subject": "s", "text": "t", "html": "h"}
    Message.objects.create(**words, written_at=now, due_at=now - timedelta(minutes=5))
    Message.objects.create(**words, written_at=now, due_at=now + timedelta(minutes=5))
    Message.objects.create(**words, written_at=now, due_at=now, tries=99)
    visit = factory.visit()
    for nth in (-1, 1, 2, 3):
        begins_at = clock.pieces(now, now + timedelta(minutes=5))[0] + nth * timedelta(minutes=5)
        SoldPiece.objects.create(at="roller", place=1, begins_at=begins_at, visit=visit)
    Clip.objects.create(visit=visit, at=now - timedelta(minutes=2), file="x", name="x", size_bytes=1, digest="d")
    found = told(client)
    assert found["tickover_waiting"] == {("mails",): 1, ("clips",): 1}
    assert 300 <= found["tickover_waiting_seconds"]["mails",] < 400
    assert 120 <= found["tickover_waiting_seconds"]["clips",] < 220
    assert found["tickover_mails_failed"] == {(): 1}
    assert found["tickover_sold_ahead_minutes"] == {("roller",): 15}
    assert found["tickover_database_answers"] == {(): 1}


def test_while_the_database_is_away_the_counts_are_told_and_that_it_is_away(client, monkeypatch):
    client.get("/guides/")
    monkeypatch.setattr("jobs.pages.watched.mails_failed", _away)
    found = told(client)
    assert found["tickover_database_answers"] == {(): 0}
    assert found[COUNTED]["guides", "GET", "200"] == 1
    assert "tickover_waiting" not in found


def test_a_page_is_answered_though_nothing_can_be_counted(client, settings, tmp_path):
    (tmp_path / "file").touch()
    settings.DATA = tmp_path / "file"
    assert client.get("/guides/").status_code == 200


def _away() -> int:
    raise OperationalError
