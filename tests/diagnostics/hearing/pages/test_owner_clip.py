import pytest
from django.utils import timezone

from diagnostics.changes import sheets
from diagnostics.hearing.changes import clips, hearing
from diagnostics.hearing.core.heard import HeardReason
from diagnostics.hearing.pages.owner_clip import owner_clips
from tests.factories import garage
from tests.factories.diagnostics import HEALTHY, PINKING, answered, heard_clip

pytestmark = pytest.mark.django_db
HOW = "To record a better one"


@pytest.fixture
def visit(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    garage.shop()
    return garage.visit(machine=garage.machine(kind=garage.machine_kind(design_rpm=8800)))


def told(visit):
    (state,) = owner_clips(visit, now=timezone.now())
    return f"{state.said} {state.more}"


def test_the_owner_has_one_kind_sentence_for_each_verdict(visit):
    heard_clip(visit, verdict="revs-out", confidence=0.9)
    assert told(visit).startswith("Thank you: it revs out and holds.")
    assert "nine in ten" in told(visit)


def test_a_false_ceiling_is_told_with_its_speed_and_not_to_be_tried_again(visit):
    heard_clip(visit, verdict="breaks-down", ceiling_rpm=6100.0)
    assert "it hits a ceiling at about 6,100 rpm and breaks down there" in told(visit)
    assert "Please don’t rev it out again" in told(visit)


def test_a_ceiling_at_its_own_speed_frightens_nobody(visit):
    heard_clip(visit, verdict="breaks-down", ceiling_rpm=8700.0)
    assert "as its own limiter would hold it" in told(visit)
    assert "breaks down" not in told(visit)


def test_after_an_unclear_one_is_told_how_to_record_a_better_one(visit):
    answered(visit, HEALTHY)
    heard_clip(visit, verdict="unclear", reason=HeardReason.NO_RISE)
    assert "or it cannot be heard. It counts neither for nor against your machine." in told(visit)
    assert HOW in told(visit)


def barred_by_an_answer(visit):
    answered(visit, PINKING)


def barred_by_a_tick(visit):
    answered(visit, HEALTHY)
    sheets.answer_rev_out(visit, given="", ticks=["leaks_petrol"], now=timezone.now())


@pytest.mark.parametrize("bar", [barred_by_an_answer, barred_by_a_tick])
def test_nobody_is_asked_for_a_better_one_of_a_machine_that_must_not_be_revved(visit, bar):
    bar(visit)
    heard_clip(visit, verdict="unclear")
    assert HOW not in told(visit)


def test_a_persons_verdict_is_what_the_owner_reads(visit):
    clips.own_verdict(
        heard_clip(visit, verdict="breaks-down"), verdict="revs-out", by=garage.person(), now=timezone.now()
    )
    assert told(visit).startswith("A mechanic has listened: it revs out and holds.")


def test_while_it_waits_and_is_worked_on_the_owner_may_leave(visit):
    heard_clip(visit)
    clip = clips.hear_again(visit.clips.get(), by=garage.person(), now=timezone.now())
    for say in ("start on it in a moment", "Listening to your clip"):
        assert say in told(visit)
        assert "You can leave this page" in told(visit)
        hearing.begin_hearing(clip, timezone.now())
    assert clip.pk
