"""The page that says what needs mending, and the boss's link to it, which is there only when something does."""

import logging
import os
import shutil
from collections import namedtuple
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.hearing.models.clips import Clip
from garage.pages import mending
from garage.running import noted
from garage.running.parts import signs
from jobs.tasks import look_for_troubles
from tests.factories import diagnostics, garage

pytestmark = pytest.mark.django_db
Usage = namedtuple("Usage", "total used free")
NAV = "Needs mending:"


@pytest.fixture(autouse=True)
def _a_folder_of_its_own(settings, tmp_path, monkeypatch):
    settings.DATA, settings.BACKUPS = tmp_path, tmp_path / "backups"
    monkeypatch.setattr(noted, "_remembered", {})


@pytest.fixture
def boss(client):
    garage.shop()
    client.force_login(garage.boss())
    return client


@pytest.fixture
def disk(monkeypatch):
    def made(free_bytes):
        monkeypatch.setattr(shutil, "disk_usage", lambda _: Usage(32_000_000_000, 0, free_bytes))

    made(16_000_000_000)
    return made


def page(client, name="needs-mending"):
    answer = client.get(reverse(name))
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_garage_that_is_well_has_no_link_and_a_page_that_says_so(boss, disk):
    assert NAV not in page(boss, "owners")
    assert "Nothing: disk, database, book, workers" in page(boss)


def test_it_comes_with_its_cause_and_goes_with_it(boss, disk):
    disk(640_000_000)
    assert f"{NAV} 1" in page(boss, "owners")
    assert "is nearly full: 640 MB of 32.0 GB is free. It should not go below 1.0 GB." in page(boss)
    disk(16_000_000_000)
    assert NAV not in page(boss, "owners")
    assert "nearly full" not in page(boss)


def test_only_the_boss_sees_it(client, disk):
    garage.shop()
    disk(0)
    for person in (garage.front_desk(), garage.person()):
        client.force_login(person)
        assert NAV not in page(client, "owners")
        assert client.get(reverse("needs-mending")).status_code == 403


def test_what_lies_in_files_is_named(boss, disk, tmp_path):
    aside = tmp_path / "broker" / "set-aside"
    aside.mkdir(parents=True)
    (aside / "1_first.celery.msg").touch()
    hour_ago = timezone.now() - timedelta(hours=1)
    for name in (signs.BEAT, signs.WORKER, signs.HEARING_WORKER):
        signs.give(tmp_path, name)
    os.utime(tmp_path / "signs" / signs.WORKER, (hour_ago.timestamp(),) * 2)
    for _ in range(3):
        signs.note_stopped(tmp_path, "web server", at=timezone.now())
    (tmp_path / "backup-failed.json").write_text(f'{{"at": "{hour_ago.isoformat()}", "sentence": "The disk is full."}}')
    found = page(boss)
    assert "A message to the workers could not be read and was set aside" in found
    assert "The worker has given no sign of life: mails, papers and reminders wait." in found
    assert "The web server stops again and again: 3 times within the hour." in found
    assert "The backup: The last one failed. The disk is full." in found
    assert "hearing worker" not in found
    assert f"{NAV} 4" in found


def test_a_folder_that_cannot_be_written_to_is_named(boss, disk, monkeypatch):
    monkeypatch.setattr(mending.os, "access", lambda *_: False)
    assert "cannot be written to, so nothing is saved" in page(boss)


def test_a_clip_that_cannot_be_heard_leads_to_its_visit_until_one_is_heard(boss, disk):
    visit = diagnostics.visit_to_judge()
    clip = diagnostics.heard_clip(visit)
    Clip.objects.filter(pk=clip.pk).update(state=Clip.NOT_HEARD, result=None, trouble="It cannot be decoded.")
    found = page(boss)
    assert "A clip cannot be listened to by the program." in found
    assert f'<a href="{reverse("findings", args=[visit.number])}">{visit.number}</a>' in found
    look_for_troubles()
    assert f"{NAV} 1" in page(boss, "owners")
    Clip.objects.filter(pk=clip.pk).update(own_verdict="revs-out", own_by=garage.person())
    assert "cannot be listened to" not in page(boss)
    look_for_troubles()
    assert NAV not in page(boss, "owners")


def test_the_log_is_told_once_and_the_page_says_since_when(boss, disk, caplog):
    disk(0)
    with caplog.at_level(logging.WARNING):
        look_for_troubles()
        look_for_troubles()
    assert [record.getMessage().split(":")[0] for record in caplog.records] == ["Needs mending"]
    assert "Since " in page(boss)
    caplog.clear()
    disk(16_000_000_000)
    with caplog.at_level(logging.WARNING):
        look_for_troubles()
        look_for_troubles()
    assert [record.getMessage() for record in caplog.records] == ["Mended: disk-full."]
