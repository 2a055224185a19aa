"""The boss takes everything away: asked for, made by a task, taken with the password, gone after a day."""

import io
import os
from datetime import timedelta
from zipfile import ZipFile

import pytest
from django.urls import reverse
from django.utils import timezone

from garage import tasks
from garage.changes.people.erasing import erase
from garage.changes.shop import exports
from garage.core import states
from garage.core.keeping.periods import WHOLE_EXPORTS
from garage.models.exports import WholeExport
from garage.models.sessions import PROVED
from garage.models.trail import TrailRow
from garage.reads.exports import export_path, exports_folder
from tests.factories import garage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _a_folder_of_its_own(settings, tmp_path):
    settings.DATA = tmp_path


def ask(client):
    return client.post(reverse("everything-ask"), follow=True).text


def page(client):
    return client.get(reverse("shop-everything")).text


def files():
    return sorted(path.name for path in exports_folder().glob("*"))


def test_it_is_asked_for_made_by_a_task_and_taken_away(boss):
    assert "It will be begun in a moment." in ask(boss)
    assert "It is being made already." in ask(boss)
    tasks.make_export()
    row = WholeExport.objects.get()
    assert row.done == row.in_all > 0
    assert f"{row.done} records" in page(boss)
    answer = boss.post(reverse("everything-take"))
    assert answer["Content-Type"] == "application/zip"
    taken = ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
    assert "data/garage.shop.json" in taken.namelist()
    did = ["asked for the export of everything", "took away the export of everything"]
    assert list(TrailRow.objects.filter(did__contains="export").order_by("id").values_list("did", flat=True)) == did


def test_it_says_how_far_it_is_while_it_is_being_made(boss, monkeypatch):
    seen = []

    def told(archive, *, shop_name, now, progress):
        monkeypatch.setattr(tasks.time, "monotonic", lambda: 1e9)
        progress(3)
        seen.append(page(boss))

    ask(boss)
    monkeypatch.setattr(tasks, "write_everything", told)
    monkeypatch.setattr(tasks, "count_everything", lambda: 12)
    tasks.make_export()
    assert "Being made: 3 of 12 records." in seen[0]
    assert '<progress id="made" max="12" value="3">' in seen[0]


def test_the_password_is_asked_for_before_it_is_made_and_before_it_is_taken(boss):
    ask(boss)
    tasks.make_export()
    session = boss.session
    session[PROVED] = (timezone.now() - timedelta(hours=1)).isoformat()
    session.save()
    for name in ("everything-ask", "everything-take"):
        assert boss.post(reverse(name)).status_code == 403
    assert TrailRow.objects.filter(did__startswith="took away").count() == 0


def test_one_that_a_worker_left_half_made_is_made_anew(boss):
    ask(boss)
    row = WholeExport.objects.get()
    exports_folder().mkdir()
    export_path(row).with_name(f"{export_path(row).name}.unfinished").write_bytes(b"half")
    tasks.make_export()
    assert files() == [export_path(row).name]
    assert ZipFile(export_path(row)).testzip() is None


def test_a_disk_that_is_full_is_told_in_a_sentence_and_leaves_nothing(boss, monkeypatch):
    def full(*_args, **_given):
        raise OSError(28, os.strerror(28))

    ask(boss)
    monkeypatch.setattr(tasks, "write_everything", full)
    tasks.make_export()
    assert "It could not be written: No space left on device." in page(boss)
    assert files() == []
    assert "It will be begun" in ask(boss)


def test_after_a_day_it_is_gone_with_its_file(boss):
    ask(boss)
    tasks.make_export()
    asked_at = WholeExport.objects.get().asked_at
    exports.sweep(now=asked_at + WHOLE_EXPORTS.length)
    assert len(files()) == 1
    exports.sweep(now=asked_at + WHOLE_EXPORTS.length + timedelta(seconds=1))
    assert files() == []
    assert "Make the file" in page(boss)
    assert "There is no file to take away." in boss.post(reverse("everything-take"), follow=True).text


def test_the_boss_deletes_it_before_that_and_a_new_one_takes_its_place(boss, django_capture_on_commit_callbacks):
    ask(boss)
    tasks.make_export()
    before = files()
    ask(boss)
    tasks.make_export()
    exports.sweep(now=timezone.now())
    assert len(files()) == 1
    assert files() != before
    with django_capture_on_commit_callbacks(execute=True):
        assert "Deleted." in boss.post(reverse("everything-forget"), follow=True).text
    assert files() == []


@pytest.mark.parametrize("is_made", [True, False])
def test_erasing_an_owner_deletes_the_file_that_has_them_still(boss, is_made, django_capture_on_commit_callbacks):
    visit = garage.visit(state=states.COLLECTED)
    ask(boss)
    if is_made:
        tasks.make_export()
        assert files() != []
    by, now = garage.boss(), timezone.now()
    with django_capture_on_commit_callbacks(execute=True):
        erase(visit.owner, by=by, now=now)
    assert (WholeExport.objects.count(), files()) == (0, [])
    did = "deleted the export of everything: it held an owner who is erased"
    assert TrailRow.objects.filter(did=did, by=by).count() == 1
    assert "erased, the file is deleted at once" in boss.get(reverse("privacy")).text


def test_erasing_where_no_export_waits_says_nothing_of_one(boss):
    erase(garage.visit(state=states.COLLECTED).owner, by=garage.boss(), now=timezone.now())
    assert not TrailRow.objects.filter(did__contains="export").exists()
