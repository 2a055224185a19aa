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
    # The bank's 0.95. Who listened has read how low the heard peak is, so it is not weighed once more.
    own = {"verdict": "revs-out", "confidence": 0.95, "ceiling_rpm": None, "peak_rpm": None}
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
    with pytest.raises(BadInput) as refused:
        clips.own_verdict(heard_clip(visit), verdict="healthy", by=mechanic, now=timezone.now())
    allowed = "one of " + ", ".join(words for _, words in Clip.VERDICTS)
    assert (refused.value.where, refused.value.found, refused.value.allowed) == ("Your verdict", "healthy", allowed)


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


def test_a_clip_that_waits_or_is_worked_on_is_not_begun_anew(visit, mechanic):
    clip = sent(visit)
    assert clips.hear_again(clip, by=mechanic, now=timezone.now()) == clip
    worked_on(clip)
    again = clips.hear_again(clip, by=mechanic, now=timezone.now())
    assert (again.state, again.tries) == (Clip.WORKING, 1)
    assert not TrailRow.objects.filter(did__contains="again").exists()


def test_a_visit_that_is_over_is_not_judged_by_a_person_any_more(visit, mechanic):
    clip = heard_clip(visit)
    visit.state = states.COLLECTED
    visit.save()
    words = f"Visit {visit.number} is collected: it is not judged any more."
    for change, more in ((clips.own_verdict, {"verdict": "revs-out"}), (clips.own_verdict_withdrawn, {})):
        with pytest.raises(Refused) as said:
            change(clip, by=mechanic, now=timezone.now(), **more)
        assert str(said.value) == words


def test_of_two_clips_the_one_that_is_meant_is_changed(visit, mechanic):
    other, clip = heard_clip(visit), heard_clip(visit)
    clips.own_verdict(clip, verdict="revs-out", by=mechanic, now=timezone.now())
    clip.refresh_from_db()
    other.refresh_from_db()
    assert (clip.own_verdict, other.own_verdict) == ("revs-out", "")
    clips.delete(clip, by=mechanic, now=timezone.now())
    with pytest.raises(Refused) as said:
        clips.delete(clip, by=mechanic, now=timezone.now())
    assert str(said.value) == "This clip has been deleted in the meantime."
    assert Clip.objects.get() == other
