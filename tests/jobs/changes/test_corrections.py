"""What a closed card turns out to have been: each correction stands in the trail and recounts exactly."""

import pytest
from django.utils import timezone

from diagnostics.changes import causes
from diagnostics.core.bank.bank import NOTHING_WRONG
from diagnostics.models.causes import Cause
from diagnostics.models.learning import Learned
from diagnostics.reads.causes import fault_words
from diagnostics.reads.learning import counts_now
from garage.core.errors import BadInput, Refused
from garage.models.trail import TrailRow
from jobs.changes import cards, closing, corrections
from tests.factories import garage, jobs
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return garage.person()


def closed(by, *faults):
    visit = jobs.visit_here()
    for fault in faults:
        cards.found_cause(visit, fault=fault, words="", by=by, now=timezone.now())
    if not faults:
        cards.note(visit, what="note", words="Looked it over", by=by, now=timezone.now())
    return (closing.close_with_causes if faults else closing.close_with_nothing_wrong)(visit, by=by, now=timezone.now())


def standing(card):
    return {cause.fault or cause.words for cause in Cause.objects.filter(visit=card.visit, withdrawn_at=None)}


def said(card):
    return list(TrailRow.objects.filter(visit=card.visit).order_by("id").values_list("did", flat=True))


def counted():
    counts = counts_now()
    times = {fault: count for fault, count in counts.times.items() if count}
    return times, counts.chances, counts.learned, counts.not_learned


def test_a_corrected_cause_is_recounted_and_the_trail_keeps_both(by):
    card = closed(by, "spark-module")
    assert counted()[0] == {"spark-module": 1}
    corrections.correct_cause(Cause.objects.get(), fault="", words="pickup not level", by=by, now=timezone.now())
    assert standing(card) == {"pickup not level"}
    assert said(card)[-2:] == [f"withdrawn: {fault_words('spark-module')}", "cause: pickup not level"]
    corrections.correct_cause(
        Cause.objects.get(withdrawn_at=None), fault="air-leak", words="", by=by, now=timezone.now()
    )
    assert counted()[0] == {"air-leak": 1}


def test_a_failed_correction_leaves_the_cause_standing(by):
    card = closed(by, "spark-module")
    with pytest.raises(BadInput):
        corrections.correct_cause(Cause.objects.get(), fault="", words=" ", by=by, now=timezone.now())
    assert standing(card) == {"spark-module"}


def test_nothing_wrong_gets_the_cause_that_was_found_later_as_if_it_had_always_stood(by):
    closed(by, "air-leak")
    as_it_was = counted()
    card = closed(by)
    assert counted()[0] == {"air-leak": 1, NOTHING_WRONG: 1}
    corrections.found_later(card.visit, fault="spark-module", words="", by=by, now=timezone.now())
    card.refresh_from_db()
    assert not card.nothing_wrong
    assert counted()[0] == {"air-leak": 1, "spark-module": 1}
    assert said(card)[-2:] == [f"cause: {fault_words('spark-module')}", 'the card no longer says "nothing wrong"']
    corrections.was_not_it(Cause.objects.get(visit=card.visit), by=by, now=timezone.now())
    card.refresh_from_db()
    assert card.nothing_wrong
    assert said(card)[-1] == 'the card says "nothing wrong" now'
    assert counted()[0] == as_it_was[0] | {NOTHING_WRONG: 1}


def test_removing_a_wrong_cause_leaves_the_others_and_the_card_counts_again(by):
    card = closed(by, "spark-module", "air-leak")
    assert counted()[0] == {"spark-module": 1, "air-leak": 1}
    assert counted()[2:] == (1, 0)
    corrections.was_not_it(Cause.objects.get(fault="spark-module"), by=by, now=timezone.now())
    card.refresh_from_db()
    assert (standing(card), card.nothing_wrong) == ({"air-leak"}, False)
    assert counted()[0] == {"air-leak": 1}
    assert counted()[2:] == (1, 0)


def test_a_second_cause_found_later_counts_beside_the_first_until_it_was_not_it(by):
    card = closed(by, "spark-module")
    before = counted()
    corrections.found_later(card.visit, fault="air-leak", words="", by=by, now=timezone.now())
    assert counted()[0] == {"spark-module": 1, "air-leak": 1}
    assert counted()[2:] == (1, 0)
    corrections.was_not_it(Cause.objects.get(fault="air-leak"), by=by, now=timezone.now())
    assert counted() == before


def test_what_was_found_good_and_turns_out_to_be_the_cause_ends_nothing_wrong(by):
    visit = jobs.visit_here()
    cards.looked_good(visit, fault="air-leak", words="", by=by, now=timezone.now())
    card = closing.close_with_nothing_wrong(visit, by=by, now=timezone.now())
    corrections.correct_cause(Cause.objects.get(), fault="air-leak", words="", by=by, now=timezone.now())
    card.refresh_from_db()
    assert not card.nothing_wrong
    assert counted()[0] == {"air-leak": 1}


def test_an_open_card_is_corrected_on_the_card_itself(by):
    card = jobs.card()
    causes.confirm(card.visit, fault="air-leak", by=by, now=timezone.now())
    for change in (
        lambda: corrections.found_later(card.visit, fault="spark-module", words="", by=by, now=timezone.now()),
        lambda: corrections.was_not_it(Cause.objects.get(), by=by, now=timezone.now()),
        lambda: corrections.found_later(jobs.visit_here(), fault="spark-module", words="", by=by, now=timezone.now()),
    ):
        with pytest.raises(Refused, match="is not closed"):
            change()
    assert standing(card) == {"air-leak"}


def test_a_repeated_or_withdrawn_cause_is_refused_and_nothing_changes(by):
    card = closed(by, "spark-module")
    cause = Cause.objects.get()
    with pytest.raises(Refused, match="already entered"):
        corrections.found_later(card.visit, fault="spark-module", words="", by=by, now=timezone.now())
    corrections.was_not_it(cause, by=by, now=timezone.now())
    with pytest.raises(Refused, match="already withdrawn"):
        corrections.was_not_it(cause, by=by, now=timezone.now())
    card.refresh_from_db()
    assert card.nothing_wrong
    assert counted()[0] == {NOTHING_WRONG: 1}


def test_each_correction_is_noted_with_who_and_when(by):
    visit, now = closed(by, "spark-module").visit, timezone.now()
    kept = {"by": garage.boss(), "at": now, "visit": visit}
    given = {"by": kept["by"], "now": now}
    corrections.correct_cause(Cause.objects.get(), fault="air-leak", words="", **given)
    check_noted(f"cause: {fault_words('air-leak')}", **kept)
    assert Cause.objects.get(fault="spark-module").withdrawn_at == now
    corrections.was_not_it(Cause.objects.get(withdrawn_at=None), **given)
    check_noted('the card says "nothing wrong" now', **kept)
    corrections.found_later(visit, fault="air-leak", words="at the boot", **given)
    check_noted('the card no longer says "nothing wrong"', **kept)
    cause = Cause.objects.get(withdrawn_at=None)
    assert (cause.fault, cause.words, cause.at, cause.by) == ("air-leak", "at the boot", now, kept["by"])
    corrections.found_later(visit, fault="spark-module", words="", **given)
    check_noted(f"cause: {fault_words('spark-module')}", **kept)
    assert Learned.objects.order_by("pk").last().at == now


def test_a_card_that_is_open_or_not_there_is_refused_by_its_number(by):
    card, now = jobs.card(), timezone.now()
    for visit in (card.visit, jobs.visit_here()):
        with refuses(f"The card of visit {visit.number} is not closed: put it right on the card itself."):
            corrections.found_later(visit, fault="air-leak", words="", by=by, now=now)


def test_the_correction_of_one_card_leaves_the_others(by):
    others, card = closed(by), closed(by)
    corrections.found_later(card.visit, fault="air-leak", words="", by=by, now=timezone.now())
    corrections.correct_cause(Cause.objects.get(), fault="spark-module", words="", by=by, now=timezone.now())
    others.refresh_from_db()
    assert others.nothing_wrong
