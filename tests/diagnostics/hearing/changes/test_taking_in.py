"""A clip that comes: who may send it and until when, what is refused and in which words, where it is kept."""

import hashlib
import re
from datetime import timedelta
from pathlib import Path

import pytest
from celery import current_app
from django.db import OperationalError
from django.utils import timezone

from diagnostics.hearing.changes import clips, taking_in
from diagnostics.hearing.changes.hearing import HEAR
from diagnostics.hearing.models.clips import Clip
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.actors import OWNER
from garage.models.trail import TrailRow
from tests.factories import garage
from tests.factories.diagnostics import upload

pytestmark = pytest.mark.django_db

ALLOWED = "a sound or video file as a phone makes it, of at most 3 minutes and 100 MB"
NOW = timezone.now()


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def woken(monkeypatch, django_capture_on_commit_callbacks):
    """The names of the tasks that are sent to the broker by what is done."""

    def names_after(done):
        names = []
        monkeypatch.setattr(current_app, "send_task", lambda name, **_: names.append(name))
        with django_capture_on_commit_callbacks(execute=True):
            done()
        return names

    return names_after


def sent(visit, content=b"sound", name="rev-out.m4a"):
    return taking_in.send(visit, upload=upload(content, name), now=NOW)


def refused(visit, content=b"sound", name="rev-out.m4a", size=None):
    """What is said of an upload that is no clip: what, found and allowed."""
    given = upload(content, name)
    given._name = name
    given.size = len(content) if size is None else size
    with pytest.raises(BadInput) as said:
        taking_in.send(visit, upload=given, now=NOW)
    assert not Clip.objects.exists()
    return str(said.value)


def test_a_clip_has_what_was_sent_when_and_by_whom(visit):
    clip = Clip.objects.get(pk=sent(visit, b"a longer sound").pk)
    assert (clip.visit, clip.at, clip.by, clip.name) == (visit, NOW, None, "rev-out.m4a")
    assert (clip.size_bytes, clip.digest) == (14, hashlib.sha256(b"a longer sound").hexdigest())
    assert (clip.state, clip.tries, clip.result) == (Clip.WAITS, 0, None)
    assert Path(clip.file.path).read_bytes() == b"a longer sound"


def test_a_new_clip_wakes_who_hears_it_and_the_same_file_again_nobody(visit, woken):
    assert woken(lambda: sent(visit)) == [HEAR]
    assert woken(lambda: sent(visit)) == []
    brought = upload(b"another")
    assert woken(lambda: taking_in.take_in(visit, upload=brought, by=garage.person(), now=NOW)) == [HEAR]


def test_the_workshop_brings_one_under_its_own_name(visit):
    mechanic = garage.person()
    clip = taking_in.take_in(visit, upload=upload(), by=mechanic, now=NOW)
    assert Clip.objects.get().by == mechanic
    row = TrailRow.objects.get(visit=visit, did="clip taken in: rev-out.m4a")
    assert (row.by_words, row.at) == (mechanic.name, NOW)
    assert clip.at == NOW


def test_the_same_file_is_one_clip_of_each_visit(visit):
    first = sent(visit)
    assert sent(visit, name="again.m4a") == first
    other = sent(garage.visit())
    assert other != first
    assert Clip.objects.count() == 2


def test_clips_of_another_visit_take_no_room(visit):
    for number in range(6):
        sent(visit, bytes([number + 1]))
    assert sent(garage.visit(), b"another").pk
    with pytest.raises(Refused) as said:
        sent(visit, b"one more")
    assert str(said.value) == "This visit has 6 clips already: delete one first."


def test_what_is_no_clip_is_said_with_what_is_allowed(visit):
    assert refused(visit, b"") == f"The clip is an empty file; allowed is {ALLOWED}."
    assert refused(visit, size=100_000_001) == f"The clip is 101 MB; allowed is {ALLOWED}."
    assert refused(visit, size=250_000_001) == f"The clip is 251 MB; allowed is {ALLOWED}."


def test_a_hundred_megabytes_are_taken(visit):
    large = upload()
    large.size = 100_000_000
    assert taking_in.send(visit, upload=large, now=NOW).size_bytes == 100_000_000


@pytest.mark.parametrize("name", ["\x00\x01", "...", " . "])
def test_a_name_without_a_letter_is_said(visit, name):
    assert refused(visit, name=name).startswith("The clip's name is ")


def test_a_name_that_says_nothing_is_refused_with_an_example(visit):
    said = refused(visit, name="." * 50)
    assert said.startswith("The clip's name is ")
    assert "." * 40 in said
    assert "." * 41 not in said
    assert said.endswith("allowed is a name with a letter or digit in it, as rev-out.m4a.")


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("C:\\phone\\clip one.m4a", "clip one.m4a"),
        ("/sdcard/clip.m4a", "clip.m4a"),
        ("a\x07b.m4a", "a b.m4a"),
        ("two\nlines\t.m4a", "two lines .m4a"),
        ("Motor \u202etür.WAV", "Motor tür.WAV"),
        ("no ending", "no ending"),
        ("a" * 120, "a" * 120),
        ("a" * 121, "a" * 120),
        ("a" * 116 + ".m4a", "a" * 116 + ".m4a"),
        ("a" * 130 + ".averylongending", "a" * 110 + ".averylong"),
    ],
)
def test_a_name_loses_its_folders_and_what_is_too_long(visit, name, kept):
    given = upload()
    given._name = name
    assert taking_in.send(visit, upload=given, now=NOW).name == kept


@pytest.mark.parametrize(
    ("name", "ending"),
    [("a.M4A", "m4a"), ("a", "clip"), ("a.---", "clip"), ("a.m-4_a", "m4a"), ("a.abcdefghijk", "abcdefgh")],
)
def test_the_sound_is_kept_under_a_random_name_with_a_plain_ending(visit, name, ending):
    given = upload()
    given._name = name
    kept = Path(taking_in.send(visit, upload=given, now=NOW).file.name).name
    assert re.fullmatch(rf"[0-9a-f]{{32}}\.{ending}", kept)


def test_an_owner_is_told_until_when_a_clip_is_taken(visit):
    visit.state = states.HERE
    visit.save()
    with pytest.raises(Refused) as said:
        sent(visit)
    words = "Your machine is with us or the visit is over, so we can’t take a clip any more. Please ring us."
    assert str(said.value) == words


def test_the_workshop_is_told_that_a_visit_is_over(visit):
    visit.state = states.COLLECTED
    visit.save()
    with pytest.raises(Refused) as said:
        taking_in.take_in(visit, upload=upload(), by=garage.person(), now=NOW)
    assert str(said.value) == f"Visit {visit.number} is collected: it takes no more clips."


def test_the_state_of_the_visit_counts_as_it_is_now(visit):
    stale = type(visit).objects.get(pk=visit.pk)
    visit.state = states.COLLECTED
    visit.save()
    for way, more in ((taking_in.send, {}), (taking_in.take_in, {"by": garage.person()})):
        with pytest.raises(Refused):
            way(stale, upload=upload(), now=NOW, **more)


def test_a_full_disk_is_said_to_the_owner(visit, settings, tmp_path):
    blocked = tmp_path / "blocked"
    blocked.write_text("a file where the folder would be")
    settings.MEDIA_ROOT = blocked
    with pytest.raises(Refused) as said:
        sent(visit)
    assert str(said.value) == (
        "The clip could not be saved: there is no room for it on the garage’s disk. Please ring us."
    )


def test_no_sound_stays_without_its_row(visit, tmp_path, monkeypatch):
    def full(*_, **__):
        raise OperationalError("database or disk is full")

    monkeypatch.setattr(taking_in.trail, "about_visit", full)
    with pytest.raises(OperationalError):
        taking_in.send(visit, upload=upload(), now=NOW)
    assert not Clip.objects.exists()
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


@pytest.mark.parametrize(
    ("state", "of_owner", "of_workshop"),
    [(states.BOOKED, True, True), (states.HERE, False, True), (states.COLLECTED, False, False)],
)
def test_who_may_send_a_clip_and_until_when(visit, state, of_owner, of_workshop):
    visit.state = state
    visit.save()
    by = {"by": garage.person()}
    for way, more, allowed in ((taking_in.send, {}, of_owner), (taking_in.take_in, by, of_workshop)):
        if allowed:
            assert way(visit, upload=upload(), now=timezone.now(), **more).pk
        else:
            with pytest.raises(Refused):
                way(visit, upload=upload(), now=timezone.now(), **more)


def test_a_visit_has_room_again_once_a_clip_is_deleted(visit):
    made = [sent(visit, bytes([number + 1])) for number in range(taking_in.MOST_A_VISIT)]
    with pytest.raises(Refused, match="delete one first"):
        sent(visit, b"one more")
    clips.delete(made[0], by=OWNER, now=NOW)
    assert sent(visit, b"one more").pk


def test_so_many_clips_are_taken_for_a_visit_in_a_day_also_if_they_are_deleted_again(monkeypatch):
    monkeypatch.setattr(taking_in, "MOST_A_DAY", 2)
    visit, other = garage.visit(), garage.visit()
    for content in (b"one", b"two"):
        clips.delete(sent(visit, content), by=OWNER, now=NOW)
    with pytest.raises(
        Refused, match=r"For this visit 2 clips were sent within a day, and that is the most\."
    ) as refused:
        sent(visit, b"three")
    assert refused.value.status == 429
    assert not Clip.objects.exists()
    assert sent(other, b"three")
    assert taking_in.send(visit, upload=upload(b"three", "a.m4a"), now=NOW + timedelta(days=1, seconds=1))
