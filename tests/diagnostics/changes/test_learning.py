"""Closed cards teach: from then on, never backwards, and exactly what stands."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import causes, judgements, learning
from diagnostics.core.bank.bank import NOTHING_WRONG
from diagnostics.models.learning import Closing, ComeBack, Learned
from diagnostics.reads.bank import the_bank
from diagnostics.reads.learning import bank_with, counts_now
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.visits import Visit
from tests.factories import garage
from tests.factories.jobs import visit_here
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def closed(by: Person, *faults: str) -> Visit:
    visit = visit_here()
    for fault in faults:
        causes.confirm(visit, fault=fault, by=by, now=timezone.now())
    learning.card_closed(visit, by=by, now=timezone.now())
    return visit


def test_before_any_card_is_closed_the_bank_judges_alone() -> None:
    assert counts_now() is None
    assert bank_with(counts_now()) is the_bank()
    assert learning.count_all_anew(now=timezone.now()) is None


def test_a_closed_card_counts_in_later_judgements_and_in_no_earlier_one() -> None:
    by = garage.person()
    before = judgements.judge_again(visit_here(), now=timezone.now())
    closed(by, "spark-module")
    before.refresh_from_db()
    after = judgements.judge_again(before.visit, now=timezone.now())
    assert before.learned is None
    assert after.learned == counts_now()
    assert after.judgement.chances["spark-module"] > before.judgement.chances["spark-module"]


def test_a_card_closed_without_a_cause_counts_as_nothing_wrong() -> None:
    closed(garage.person())
    assert counts_now().times[NOTHING_WRONG] == 1
    assert counts_now().learned == 1


def test_a_card_with_two_causes_counts_in_full_for_both() -> None:
    closed(garage.person(), "spark-module", "air-leak")
    assert (counts_now().learned, counts_now().not_learned) == (1, 0)
    assert (counts_now().times["spark-module"], counts_now().times["air-leak"]) == (1, 1)
    more = {fault.id for fault in the_bank().faults if counts_now().chances[fault.id] > fault.chance}
    assert more == {"spark-module", "air-leak"}


def test_a_card_with_a_cause_in_own_words_beside_another_is_kept_and_not_learned_from() -> None:
    by, visit = garage.person(), visit_here()
    causes.confirm(visit, fault="air-leak", by=by, now=timezone.now())
    causes.confirm(visit, words="a cracked rubber", by=by, now=timezone.now())
    learning.card_closed(visit, by=by, now=timezone.now())
    assert (counts_now().learned, counts_now().not_learned) == (0, 1)
    assert counts_now().chances == pytest.approx({fault.id: fault.chance for fault in the_bank().faults}, abs=1e-12)


def test_a_corrected_cause_counts_as_if_it_had_always_been_there() -> None:
    by = garage.person()
    visit = closed(by, "spark-module")
    causes.withdraw(visit.causes.get(), by=by, now=timezone.now())
    causes.confirm(visit, fault="air-leak", by=by, now=timezone.now())
    learning.count_all_anew(now=timezone.now())
    assert (counts_now().times["spark-module"], counts_now().times["air-leak"]) == (0, 1)


def test_a_machine_that_comes_back_takes_its_card_out_of_the_counts() -> None:
    by = garage.person()
    visit = closed(by, "spark-module")
    learning.came_back(visit, by=by, now=timezone.now())
    assert (counts_now().learned, counts_now().not_learned) == (0, 1)
    with pytest.raises(Refused, match="already marked"):
        learning.came_back(visit, by=by, now=timezone.now())


def test_an_earlier_judgement_keeps_its_edition_and_counts_after_a_recount():
    by = garage.person()
    first = closed(by, "spark-module")
    judged = judgements.judge_again(visit_here(), now=timezone.now())
    counted, chances = counts_now(), dict(judged.judgement.chances)
    kept = dict(counted.chances)
    learning.came_back(first, by=by, now=timezone.now())
    closed(by, "air-leak")
    judged.refresh_from_db()
    counted.refresh_from_db()
    assert (judged.edition, judged.learned, judged.judgement.chances) == (the_bank().edition, counted, chances)
    assert counted.chances == kept
    assert counts_now() != counted


def test_a_come_back_counts_exactly_as_if_the_card_had_taught_nothing():
    by = garage.person()
    closed(by, "air-leak")
    without = counts_now().chances
    learning.came_back(closed(by, "spark-module"), by=by, now=timezone.now())
    assert counts_now().chances == without


def test_a_come_back_taken_back_counts_exactly_as_if_it_had_never_been_marked():
    by = garage.person()
    closed(by, "air-leak")
    visit = closed(by, "spark-module")
    before = counts_now()
    learning.came_back(visit, by=by, now=timezone.now())
    learning.did_not_come_back(visit, by=by, now=timezone.now())
    after = counts_now()
    assert after != before
    assert (after.times, after.chances, after.learned, after.not_learned) == (
        *(before.times, before.chances, before.learned, before.not_learned),
    )
    assert list(visit.trail.order_by("id").values_list("did", flat=True))[-2:] == [
        "came back with the same trouble: its card is no longer learned from",
        "did not come back with the same trouble after all: its card is learned from again",
    ]


def test_marked_taken_back_and_marked_again_each_is_an_event_and_the_last_counts():
    by = garage.person()
    visit = closed(by, "spark-module")
    for _ in range(2):
        learning.came_back(visit, by=by, now=timezone.now())
        learning.did_not_come_back(visit, by=by, now=timezone.now())
    learning.came_back(visit, by=by, now=timezone.now())
    assert (counts_now().learned, counts_now().not_learned) == (0, 1)
    assert visit.closing.come_backs.count() == 3
    assert visit.closing.come_backs.filter(withdrawn_at=None).count() == 1


def test_what_is_not_marked_cannot_be_taken_back():
    by = garage.person()
    for visit in (visit_here(), closed(by, "air-leak")):
        with pytest.raises(Refused, match="is not marked"):
            learning.did_not_come_back(visit, by=by, now=timezone.now())


def test_an_open_card_cannot_come_back() -> None:
    with pytest.raises(Refused, match="is not closed"):
        learning.came_back(visit_here(), by=garage.person(), now=timezone.now())


def test_recounting_the_same_writes_nothing() -> None:
    closed(garage.person(), "spark-module")
    learning.count_all_anew(now=timezone.now())
    assert Learned.objects.count() == 1


def test_closings_and_come_backs_are_kept_and_noted_with_who_and_when() -> None:
    by, boss, now, visit = garage.person(), garage.boss(), timezone.now(), visit_here()
    causes.confirm(visit, fault="spark-module", by=by, now=now)
    learning.card_closed(visit, by=by, now=now)
    learning.card_closed(visit, by=boss, now=now + timedelta(minutes=1))
    closing = Closing.objects.get()
    assert (closing.visit, closing.by, closing.at) == (visit, by, now)
    learned = Learned.objects.get()
    assert (learned.at, learned.edition) == (now, the_bank().edition)
    later = now + timedelta(minutes=2)
    learning.came_back(visit, by=boss, now=later)
    said = "came back with the same trouble: its card is no longer learned from"
    check_noted(said, by=boss, at=later, visit=visit)
    come_back = ComeBack.objects.get()
    assert (come_back.closing, come_back.at, come_back.by) == (closing, later, boss)
    assert counts_now().at == later
    with refuses(f"Visit {visit.number} is already marked as a come-back."):
        learning.came_back(visit, by=by, now=later)
    last = now + timedelta(minutes=3)
    learning.did_not_come_back(visit, by=by, now=last)
    said = "did not come back with the same trouble after all: its card is learned from again"
    check_noted(said, by=by, at=last, visit=visit)
    come_back.refresh_from_db()
    assert (come_back.withdrawn_at, come_back.withdrawn_by) == (last, by)
    assert counts_now().at == last


def test_each_refusal_of_a_come_back_names_the_visit() -> None:
    by, now, visit = garage.person(), timezone.now(), visit_here()
    with refuses(f"The card of visit {visit.number} is not closed: nothing was learned from it."):
        learning.came_back(visit, by=by, now=now)
    with refuses(f"Visit {visit.number} is not marked as a come-back."):
        learning.did_not_come_back(visit, by=by, now=now)


def test_the_mark_of_one_card_leaves_the_others() -> None:
    by, now = garage.person(), timezone.now()
    first, second = closed(by, "spark-module"), closed(by, "air-leak")
    for visit in (first, second):
        learning.came_back(visit, by=by, now=now)
    learning.did_not_come_back(second, by=by, now=now)
    assert ComeBack.objects.get(withdrawn_at=None).closing.visit == first


ONE_UNIT = {"times": {"spark-module": 1}, "chances": {"spark-module": 0.04}}


def test_a_new_edition_of_the_bank_counts_the_closed_cards_anew_and_loses_nothing() -> None:
    closed(garage.person(), "spark-module")
    by_this_bank = counts_now()
    older = Learned.objects.create(at=timezone.now(), edition="an older one", learned=1, not_learned=0, **ONE_UNIT)
    assert counts_now() is None
    learning.count_by_a_new_bank(now=timezone.now())
    assert (counts_now().edition, counts_now().times) == (the_bank().edition, by_this_bank.times)
    assert learning.count_by_a_new_bank(now=timezone.now()) is None
    assert Learned.objects.get(pk=older.pk).edition == "an older one"


def test_where_no_card_was_closed_a_new_edition_counts_nothing() -> None:
    assert learning.count_by_a_new_bank(now=timezone.now()) is None
    assert not Learned.objects.exists()
