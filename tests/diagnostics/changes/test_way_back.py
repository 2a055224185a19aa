from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import causes, findings, way_back
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.put_right import PutRight
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import standing, visit_case
from garage.core import states
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
FOUND = "Air leak at the intake rubber: a new one fitted, bore and piston looked at."


@pytest.fixture
def nipped() -> tuple[Visit, Person]:
    by = garage.person(first_name="Jo")
    visit = jobs.judged_here(by, {"nipped": "yes", "rev_out": "clean"})
    return visit, by


def put_right(visit: Visit, by: Person, question: str = "nipped", *, now: datetime | None = None) -> PutRight:
    return way_back.found_and_put_right(visit, question=question, words=FOUND, by=by, now=now or timezone.now())


def latest_stops(visit: Visit) -> tuple[str, ...]:
    return KeptJudgement.objects.filter(visit=visit).order_by("pk").last().judgement.stops


def test_a_finding_put_right_no_longer_stops_the_machine_and_the_answer_stays(nipped: tuple[Visit, Person]) -> None:
    visit, by = nipped
    assert latest_stops(visit) == ("nipped=yes",)
    causes.confirm(visit, fault="air-leak", by=by, now=timezone.now())
    row = put_right(visit, by)
    assert (row.answer, row.words, row.by) == ("yes", FOUND, by)
    assert standing(visit)["nipped"].answer == "yes"
    assert latest_stops(visit) == ()
    trail = TrailRow.objects.filter(visit=visit).values_list("did", flat=True)
    assert f"finding nipped: Yes; found and put right: {FOUND}" in trail


def test_nothing_is_put_right_before_the_card_says_what_it_was(nipped: tuple[Visit, Person]) -> None:
    visit, by = nipped
    with pytest.raises(Refused, match="Say on the card what it was"):
        put_right(visit, by)
    assert latest_stops(visit) == ("nipped=yes",)


def test_only_a_finding_that_stops_the_machine_is_put_right(nipped: tuple[Visit, Person]) -> None:
    visit, by = nipped
    causes.confirm(visit, fault="air-leak", by=by, now=timezone.now())
    with pytest.raises(Refused, match="does not keep the machine from being run"):
        put_right(visit, by, "rev_out")


def test_a_finding_said_anew_counts_again(nipped: tuple[Visit, Person]) -> None:
    visit, by = nipped
    causes.confirm(visit, fault="air-leak", by=by, now=timezone.now())
    put_right(visit, by)
    later = timezone.now() + timedelta(hours=1)
    for answer in ("no", "yes"):
        findings.record(visit, question="nipped", answer=answer, source=Finding.WORKSHOP, by=by, now=later)
    assert latest_stops(visit) == ("nipped=yes",)
    assert visit_case(visit).put_right == {}
    put_right(visit, by, now=later + timedelta(minutes=1))
    assert latest_stops(visit) == ()


def test_what_was_called_put_right_too_early_counts_again(nipped: tuple[Visit, Person]) -> None:
    visit, by = nipped
    causes.confirm(visit, fault="air-leak", by=by, now=timezone.now())
    put_right(visit, by)
    way_back.not_put_right(visit, question="nipped", by=by, now=timezone.now())
    assert latest_stops(visit) == ("nipped=yes",)
    assert PutRight.objects.get().withdrawn_at is not None
    with pytest.raises(Refused, match="not down as put right"):
        way_back.not_put_right(visit, question="nipped", by=by, now=timezone.now())


def test_only_a_machine_that_is_here_is_put_right(nipped: tuple[Visit, Person]) -> None:
    visit, by = nipped
    causes.confirm(visit, fault="air-leak", by=by, now=timezone.now())
    Visit.objects.filter(pk=visit.pk).update(state=states.COLLECTED)
    with pytest.raises(Refused):
        put_right(visit, by)
