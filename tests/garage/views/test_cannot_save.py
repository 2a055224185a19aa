"""While nothing can be saved pages that only read go on, and all else is one clear page. Locked: test_half_made.py."""

import logging
from contextlib import contextmanager
from datetime import timedelta
from urllib.parse import urlencode

import pytest
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from garage.models.owners import Owner
from garage.models.sessions import SEEN
from garage.models.trail import TrailRow
from garage.models.visits import Photo
from garage.running.parts import signs
from garage.views import cannot_save
from tests.factories import garage
from tests.garage.changes.visit.test_photos import _photo

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _a_folder_of_its_own(settings, tmp_path):
    settings.DATA, settings.MEDIA_ROOT = tmp_path, tmp_path / "media"
    (tmp_path / "media").mkdir()


@pytest.fixture
def boss():
    garage.shop()
    client = Client(raise_request_exception=False)
    client.force_login(garage.boss())
    session = client.session
    session[SEEN] = (timezone.now() - timedelta(hours=1)).isoformat()  # so that the next page notes it
    session.save()
    return client


@contextmanager
def read_only():
    """SQLite refuses every write then, with the error of a disk that is read-only."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA query_only = ON")
        try:
            yield
        finally:
            cursor.execute("PRAGMA query_only = OFF")


def posted(client, number):
    return client.post(reverse("owner", args=[number]), urlencode(OWNER), content_type=FORM)


def says(answer, *words):
    text = answer.content.decode()
    return answer.status_code, [said for said in words if said not in text]


FORM = "application/x-www-form-urlencoded"  # as browsers send a form without files
OWNER = {"name": "Jody Wray", "email": "jody@example.org", "telephone": "07700 900333", "address": "", "language": "en"}


def test_pages_that_read_go_on_and_what_was_typed_is_kept(boss):
    number = garage.visit().owner_id
    with read_only():
        assert boss.get(reverse("owners")).status_code == 200
        assert boss.get(reverse("owner", args=[number])).status_code == 200
        answer = posted(boss, number)
    wanted = ("Nothing was saved", "can’t write to its disk", 'value="Jody Wray"', "Send it again")
    assert says(answer, *wanted) == (503, [])
    assert answer["Retry-After"]
    assert not Owner.objects.filter(name="Jody Wray").exists()
    again = posted(boss, number)
    assert again.status_code == 302
    assert Owner.objects.filter(name="Jody Wray").exists()


def test_a_page_that_is_refused_is_refused_also_where_that_cannot_be_noted():
    garage.shop()
    client = Client(raise_request_exception=False)
    client.force_login(garage.person())
    with read_only():
        assert client.get(reverse("shop")).status_code == 403
    assert not TrailRow.objects.filter(did__startswith="was refused").exists()
    client.get(reverse("shop"))
    assert TrailRow.objects.filter(did__startswith="was refused").exists()


def test_it_is_one_line_in_the_log_and_a_sign_for_the_boss(boss, caplog, settings):
    number = garage.visit().owner_id
    with read_only(), caplog.at_level(logging.WARNING):
        for _ in range(3):
            posted(boss, number)
    said = [record.getMessage() for record in caplog.records if record.name.startswith(("garage", "django.request"))]
    assert said == ["Nothing can be saved just now: read-only."]
    assert not any(record.exc_info for record in caplog.records)
    assert signs.given_at(settings.DATA, "database-away")


def test_a_password_is_not_put_into_the_page(rf, monkeypatch):
    monkeypatch.setattr(cannot_save.sys, "exc_info", lambda: (None, OperationalError("database is locked"), None))
    for typed, is_kept in (({"username": "jo", "password": "very secret"}, False), ({"username": "jo"}, True)):
        answer = cannot_save.failed(rf.post("/log-in/", urlencode(typed), content_type=FORM))
        assert answer.status_code == 503
        assert "very secret" not in answer.content.decode()
        assert ("Send it again" in answer.content.decode()) is is_kept


def test_a_fault_of_our_own_stays_one(boss, monkeypatch):
    def fails(*_, **__):
        raise OperationalError("no such table: garage_owner")

    monkeypatch.setattr("garage.views.context.needs_mending_count", fails)
    answer = boss.get(reverse("owners"))
    assert says(answer, "Something went wrong at our end") == (500, [])


def test_a_full_disk_leaves_neither_a_photo_nor_its_row(boss, settings, monkeypatch):
    """The row is refused once its file is there, as by a disk that fills up meanwhile."""
    visit = garage.visit()

    def full(*_, **__):
        raise OperationalError("database or disk is full")

    def sent():
        return boss.post(
            reverse("photo-add", args=[visit.number]), {"photo": _photo(), "words": "scratch", "taken_for": "take-in"}
        )

    with monkeypatch.context() as patched:
        patched.setattr("garage.changes.visit.photos.trail.about_visit", full)
        assert says(sent(), "Nothing was saved", "is full") == (503, [])
    assert Photo.objects.count() == 0
    assert [path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()] == []
    assert sent().status_code == 302
    assert Photo.objects.count() == 1
