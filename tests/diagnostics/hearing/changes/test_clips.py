from pathlib import Path

import pytest
from django.utils import timezone

from diagnostics.changes import sheets
from diagnostics.hearing.changes import clips, hearing, taking_in
from diagnostics.hearing.models.clips import Clip
from diagnostics.reads.case import visit_case
from diagnostics.reads.judgement import latest
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.actors import OWNER
from garage.models.trail import TrailRow
from tests.factories import garage
from tests.factories.diagnostics import HEALTHY, answered, heard, heard_clip, upload

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic():
    return garage.person()


def sent(visit, content=b"sound"):
    return taking_in.send(visit, upload=upload(content), now=timezone.now())


def worked_on(clip):
    return hearing.begin_hearing(clip, timezone.now())


def test_a_clip_taken_in_waits_with_its_sound_kept_under_a_random_name(visit):
    clip = sent(visit)
    assert (clip.state, clip.name, clip.size_bytes, clip.by) == (Clip.WAITS, "rev-out.m4a", 5, None)
    assert Path(clip.file.path).read_bytes() == b"sound"
    assert "rev-out" not in clip.file.name
    assert clip.file.name.endswith(".m4a")
    assert TrailRow.objects.filter(visit=visit, did="clip taken in: rev-out.m4a", by_words="the owner").exists()


def test_the_same_file_twice_is_one_clip(visit):
    assert sent(visit).pk == sent(visit).pk
    assert len(list(Path(sent(visit).file.path).parent.iterdir())) == 1


def test_a_visit_has_room_for_so_many_clips_until_one_is_deleted(visit):
    made = [sent(visit, bytes([number])) for number in range(taking_in.MOST_A_VISIT)]
    with pytest.raises(Refused, match="delete one first"):
        sent(visit, b"one more")
    clips.delete(made[0], by=OWNER, now=timezone.now())
    assert sent(visit, b"one more").pk


@pytest.mark.parametrize("name", ["\x00\x01", "...", " . "])
def test_a_name_without_a_letter_is_said(visit, name):
    named = upload()
    named._name = name
    with pytest.raises(BadInput, match="The clip's name"):
        taking_in.send(visit, upload=named, now=timezone.now())


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("two\nlines\t.m4a", "two lines .m4a"),
        ("a" * 200 + ".m4a", "a" * 116 + ".m4a"),
        ("Motor \u202etür.WAV", "Motor tür.WAV"),
        ("no ending", "no ending"),
    ],
)
def test_the_name_is_kept_on_one_line_with_its_ending(visit, name, kept):
    assert taking_in.send(visit, upload=upload(name=name), now=timezone.now()).name == kept


def test_an_empty_file_is_no_clip(visit):
    with pytest.raises(BadInput, match="an empty file"):
        sent(visit, b"")


def test_more_than_a_hundred_megabytes_is_no_clip(visit):
    large = upload()
    large.size = 100_000_001
    with pytest.raises(BadInput, match="100 MB"):
        taking_in.send(visit, upload=large, now=timezone.now())
    large.size = 100_000_000
    assert taking_in.send(visit, upload=large, now=timezone.now()).size_bytes == 100_000_000


def test_a_disk_that_takes_no_more_is_said_and_leaves_no_row(visit, settings, tmp_path):
    blocked = tmp_path / "blocked"
    blocked.write_text("a file where the folder would be")
    settings.MEDIA_ROOT = blocked
    with pytest.raises(Refused, match="disk"):
        sent(visit)
    assert not Clip.objects.exists()


@pytest.mark.parametrize(
    ("state", "of_owner", "of_workshop"),
    [(states.BOOKED, True, True), (states.HERE, False, True), (states.COLLECTED, False, False)],
)
def test_who_may_send_a_clip_and_until_when(visit, mechanic, state, of_owner, of_workshop):
    visit.state = state
    visit.save()
    for way, more, allowed in ((taking_in.send, {}, of_owner), (taking_in.take_in, {"by": mechanic}, of_workshop)):
        if allowed:
            assert way(visit, upload=upload(), now=timezone.now(), **more).pk
        else:
            with pytest.raises(Refused):
                way(visit, upload=upload(), now=timezone.now(), **more)


def test_what_was_heard_becomes_part_of_the_case_and_the_visit_is_judged_again(visit):
    answered(visit, HEALTHY, trouble="down-on-power", rev_out="unsure")
    before = latest(visit)
    clip = sent(visit)
    worked_on(clip)
    hearing.keep(clip.pk, heard(verdict="breaks-down", confidence=0.97, ceiling_rpm=6100.0), now=timezone.now())
    after = latest(visit)
    assert before.case["heard"] is None
    assert after.case["heard"] == {
        "verdict": "breaks-down",
        "confidence": 0.97,
        "ceiling_rpm": 6100.0,
        "peak_rpm": 6050.0,
    }
    assert after.result["groups"]["ignition"] > before.result["groups"]["ignition"] + 0.2
    assert after.at > before.at


def test_a_clip_that_breaks_down_after_the_sheet_was_sent_waits_for_the_boss(visit):
    answered(visit, HEALTHY, rev_out="unsure")
    sheets.send(visit, now=timezone.now())
    visit.refresh_from_db()
    assert visit.route == "roller-ready"
    heard_clip(visit, verdict="breaks-down", confidence=0.97, ceiling_rpm=6100.0)
    visit.refresh_from_db()
    assert (visit.route, visit.route_asked) == ("roller-ready", "phone-first")


def test_an_unclear_clip_weighs_nothing_and_takes_no_older_verdict_away(visit):
    heard_clip(visit, verdict="revs-out", confidence=0.9)
    spoke = visit_case(visit).values["heard"]
    heard_clip(visit, verdict="unclear", confidence=0.8)
    assert visit_case(visit).values["heard"] == spoke
    assert spoke["verdict"] == "revs-out"


def test_the_newest_clip_that_says_something_counts(visit):
    heard_clip(visit, verdict="revs-out", confidence=0.9)
    heard_clip(visit, verdict="breaks-down", confidence=0.8, ceiling_rpm=5000.0)
    assert visit_case(visit).values["heard"]["verdict"] == "breaks-down"


def test_a_persons_verdict_wins_with_the_banks_confidence_and_can_be_taken_back(visit, mechanic):
    clip = heard_clip(visit, verdict="breaks-down", confidence=0.8, ceiling_rpm=6100.0)
    clips.own_verdict(clip, verdict="revs-out", by=mechanic, now=timezone.now())
    own = {"verdict": "revs-out", "confidence": 0.95, "ceiling_rpm": None, "peak_rpm": 6050.0}  # the bank's 0.95
    assert latest(visit).case["heard"] == own
    clips.own_verdict_withdrawn(clip, by=mechanic, now=timezone.now())
    assert latest(visit).case["heard"]["verdict"] == "breaks-down"
    clips.own_verdict(clip, verdict="unclear", by=mechanic, now=timezone.now())
    assert latest(visit).case["heard"] is None


def test_a_person_may_judge_a_clip_that_cannot_be_heard(visit, mechanic):
    clip = sent(visit)
    worked_on(clip)
    hearing.could_not_hear(clip.pk, "This clip holds no sound.", now=timezone.now())
    clips.own_verdict(clip, verdict="breaks-down", by=mechanic, now=timezone.now())
    assert latest(visit).case["heard"] == {
        "verdict": "breaks-down",
        "confidence": 0.95,
        "ceiling_rpm": None,
        "peak_rpm": None,
    }


def test_no_other_verdict_is_sent(visit, mechanic):
    with pytest.raises(BadInput, match="Your verdict"):
        clips.own_verdict(heard_clip(visit), verdict="healthy", by=mechanic, now=timezone.now())


def test_deleting_a_clip_deletes_row_file_and_finding(visit, django_capture_on_commit_callbacks):
    answered(visit, HEALTHY)
    without = latest(visit).result
    clip = heard_clip(visit, verdict="breaks-down", confidence=0.97, ceiling_rpm=6100.0)
    path = Path(clip.file.path)
    assert path.exists()
    with django_capture_on_commit_callbacks(execute=True):
        clips.delete(clip, by=OWNER, now=timezone.now())
    assert not path.exists()
    assert not Clip.objects.exists()
    assert latest(visit).case["heard"] is None
    assert latest(visit).result == without
    assert TrailRow.objects.filter(visit=visit, did="clip deleted: rev-out.m4a", by_words="the owner").exists()


def test_a_clip_of_a_visit_that_is_over_can_still_be_deleted_and_judges_nothing(visit, mechanic):
    clip = heard_clip(visit)
    visit.state = states.COLLECTED
    visit.save()
    judged = latest(visit)
    clips.delete(clip, by=mechanic, now=timezone.now())
    assert not Clip.objects.exists()
    assert latest(visit) == judged


def test_a_clip_deleted_while_it_is_worked_on_comes_to_nothing(visit):
    clip = sent(visit)
    worked_on(clip)
    clips.delete(Clip.objects.get(), by=OWNER, now=timezone.now())
    hearing.keep(clip.pk, heard(), now=timezone.now())
    hearing.could_not_hear(clip.pk, "Too late.", now=timezone.now())
    assert not Clip.objects.exists()
    with pytest.raises(Refused, match="deleted in the meantime"):
        clips.delete(clip, by=OWNER, now=timezone.now())


def test_a_clip_that_could_not_be_heard_can_be_heard_again(visit, mechanic):
    clip = sent(visit)
    worked_on(clip)
    hearing.could_not_hear(clip.pk, "This clip crashed the decoder.", now=timezone.now())
    again = clips.hear_again(clip, by=mechanic, now=timezone.now())
    assert (again.state, again.tries, again.trouble) == (Clip.WAITS, 0, "")
    with hearing.taken_up(now=timezone.now()) as next_one:
        assert next_one == clip
