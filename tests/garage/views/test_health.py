"""Whether a process lives, and whether it can work: asked without a log-in, a shop or https."""

from __future__ import annotations

import pytest
from celery import current_app
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from garage.running import readiness

READY = {"database": True, "migrations": True, "broker": True, "data": True}


@pytest.fixture(autouse=True)
def _nothing_is_known_yet(monkeypatch, settings, tmp_path):
    monkeypatch.setattr(readiness, "_migrated", set())
    settings.DATA = tmp_path


def test_that_it_lives_needs_no_database_and_no_name_of_the_site(client):
    answer = client.get("/healthz", headers={"host": "10.0.0.7"})
    assert (answer.status_code, answer.content) == (200, b"lives\n")
    assert answer["Cache-Control"] == "no-store"


@pytest.mark.django_db
def test_it_is_ready_where_nothing_is_missing(client):
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (200, READY)


@pytest.mark.django_db
def test_neither_is_sent_to_https_first(client, settings):
    settings.SECURE_SSL_REDIRECT = True
    assert [client.get(path).status_code for path in ("/healthz", "/readyz", "/about/")] == [200, 200, 301]


@pytest.mark.django_db
def test_with_a_migration_that_waits_it_is_not_ready_until_it_is_applied(client):
    row = MigrationRecorder(connection).migration_qs.filter(app="jobs").order_by("-id").first()
    MigrationRecorder(connection).record_unapplied("jobs", row.name)
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (503, READY | {"migrations": False})
    MigrationRecorder(connection).record_applied("jobs", row.name)
    assert client.get("/readyz").status_code == 200


@pytest.mark.django_db
def test_with_a_folder_that_takes_nothing_it_is_not_ready_and_says_no_more_than_that(client, settings, tmp_path):
    settings.DATA = tmp_path / "gone"
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (503, READY | {"data": False})


@pytest.mark.django_db
def test_with_the_broker_away_it_is_not_ready(client, monkeypatch):
    monkeypatch.setattr(current_app, "connection_for_write", lambda: current_app.connection("redis://127.0.0.1:1/0"))
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (503, READY | {"broker": False})


def test_without_its_database_it_lives_and_is_not_ready(client, monkeypatch):
    monkeypatch.setattr(readiness, "_database", lambda: 1 / 0)
    monkeypatch.setattr(readiness, "_migrations", lambda: 1 / 0)
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (503, READY | {"database": False, "migrations": False})
    assert client.get("/healthz").status_code == 200
