"""Which clip is taken up next, and how soon one whose worker was killed is: a worker is a real process here."""

import os
import subprocess
import sys
from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.hearing.changes import hearing, taking_in
from diagnostics.hearing.decoding.in_hand import in_hand
from diagnostics.hearing.models.clips import Clip
from garage.models.trail import TrailRow
from tests.factories.diagnostics import heard, upload

pytestmark = pytest.mark.django_db

WORKER = """
import sys, time
from diagnostics.hearing.decoding.in_hand import in_hand
with in_hand(sys.argv[1]) as holder:
    print(holder, flush=True)
    time.sleep(300)
"""


@pytest.fixture
def worker():
    """Starts processes that have a clip in hand."""
    started = []

    def start(clip):
        command = [sys.executable, "-c", WORKER, clip.file.path]
        started.append(subprocess.Popen(command, stdout=subprocess.PIPE, cwd=os.curdir))
        assert started[-1].stdout.readline() == b"True\n"
        hearing.begin_hearing(clip, timezone.now())
        return started[-1]

    yield start
    for each in started:
        each.kill()
        each.communicate()


def taken(visit, content=b"sound"):
    return taking_in.send(visit, upload=upload(content), now=timezone.now())


def killed(process):
    process.kill()
    process.wait()


def taken_up():
    """What a worker would be given, which then lets go of it at once."""
    with hearing.taken_up(now=timezone.now()) as clip:
        return clip


def test_the_clip_that_waited_longest_is_heard_first(visit):
    first, second = taken(visit, b"1"), taken(visit, b"2")
    with hearing.taken_up(now=timezone.now()) as one, hearing.taken_up(now=timezone.now()) as other:
        assert (one, other) == (first, second)
        assert one.state == other.state == Clip.WORKING
        assert taken_up() is None


def test_of_two_workers_that_saw_it_wait_one_has_it(visit):
    clip = taken(visit)
    assert hearing.begin_hearing(clip, timezone.now()).state == Clip.WORKING
    assert hearing.begin_hearing(clip, timezone.now()) is None


def test_only_the_clip_that_is_begun_is_worked_on_and_its_row_says_since_when(visit):
    clip, other = taken(visit, b"1"), taken(visit, b"2")
    now = timezone.now()
    hearing.begin_hearing(clip, now)
    clip.refresh_from_db()
    other.refresh_from_db()
    assert (clip.state, clip.begun_at, clip.tries) == (Clip.WORKING, now, 1)
    assert (other.state, other.begun_at, other.tries) == (Clip.WAITS, None, 0)


def test_one_that_was_tried_again_meanwhile_is_not_begun(visit):
    clip = taken(visit)
    hearing.begin_hearing(clip, timezone.now())
    seen = Clip.objects.get()
    assert hearing.begin_hearing(seen, timezone.now()).tries == 2
    assert hearing.begin_hearing(seen, timezone.now()) is None


def test_what_is_needed_to_hear_a_clip_comes_with_it(visit, django_assert_num_queries):
    begun = hearing.begin_hearing(taken(visit), timezone.now())
    with django_assert_num_queries(0):
        assert begun.visit.machine.kind == visit.machine.kind


def test_what_was_heard_is_kept_in_the_row_of_its_clip_only(visit):
    clip, other = taken(visit, b"1"), taken(visit, b"2")
    for each in (clip, other):
        hearing.begin_hearing(each, timezone.now())
    now = timezone.now()
    hearing.keep(clip.pk, heard(), now=now)
    clip.refresh_from_db()
    other.refresh_from_db()
    assert (clip.state, clip.heard, clip.heard_at) == (Clip.HEARD, heard(), now)
    assert (other.state, other.result) == (Clip.WORKING, None)
    hearing.could_not_hear(other.pk, "This clip holds no sound.", now=now)
    clip.refresh_from_db()
    other.refresh_from_db()
    assert clip.state == Clip.HEARD
    assert (other.state, other.trouble) == (Clip.NOT_HEARD, "This clip holds no sound.")
    did = "clip could not be heard: This clip holds no sound."
    assert TrailRow.objects.get(visit=visit, did=did).by_words == "Tickover itself"


def test_a_clip_in_the_hands_of_a_living_worker_is_nobody_elses_however_long_it_takes(visit, worker):
    clip = taken(visit)
    worker(clip)
    assert taken_up() is None
    Clip.objects.update(begun_at=timezone.now() - timedelta(hours=1))
    assert taken_up() is None


def test_a_clip_whose_worker_was_killed_is_taken_up_at_once(visit, worker):
    clip = taken(visit)
    killed(worker(clip))
    again = taken_up()
    assert (again, again.tries, again.state) == (clip, 2, Clip.WORKING)


def test_one_that_kills_its_worker_each_time_is_given_up_and_the_next_is_heard(visit, worker):
    clip = taken(visit)
    for _ in range(hearing.MOST_TRIES):
        clip.refresh_from_db()
        killed(worker(clip))
    after = taken(visit, b"another")
    assert taken_up() == after
    clip.refresh_from_db()
    assert clip.state == Clip.NOT_HEARD
    assert "3 times over" in clip.trouble


def test_what_a_worker_thought_dead_still_says_comes_into_the_case_once(visit):
    """Whatever lets two have it: the first to be done is heard."""
    clip = taken(visit)
    for _ in range(2):
        hearing.begin_hearing(Clip.objects.get(), timezone.now())
    for verdict in ("breaks-down", "revs-out"):
        hearing.keep(clip.pk, heard(verdict=verdict), now=timezone.now())
    assert Clip.objects.get().verdict == "breaks-down"
    assert visit.judgements.count() == 1


def test_a_file_is_in_one_hand_at_a_time_and_one_that_is_gone_in_nobodys(tmp_path):
    path = tmp_path / "a.wav"
    path.write_bytes(b"sound")
    with in_hand(str(path)) as ours, in_hand(str(path)) as second:
        assert (ours, second) == (True, False)
    with in_hand(str(path)) as after, in_hand(str(tmp_path / "gone.wav")) as gone:
        assert (after, gone) == (True, True)
