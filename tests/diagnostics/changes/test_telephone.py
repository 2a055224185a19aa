"""The desk asks for the engine's sake while it books: the answers are the owner's findings, and what stops acts."""

import pytest
from django.utils import timezone

from diagnostics.models.sheets import Finding
from diagnostics.reads.case import standing, visit_case
from diagnostics.reads.judgement import latest
from garage.changes.visit import bookings
from garage.core import routes
from garage.core.selling.draft import ToldOfSafety
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind():
    garage.shop()
    garage.person()
    return garage.visit_kind(minutes=90)


@pytest.fixture
def start(kind):
    return booking.at_local(booking.workday(ahead=5), 10)


def booked(kind, start, **told):
    by = garage.front_desk(first_name="Sam")
    draft = booking.draft(kind, start, told=ToldOfSafety(**told))
    return bookings.book_at_the_desk(draft, by=by, now=timezone.now()), by


def test_the_answers_are_findings_of_the_owner_by_telephone(kind, start):
    visit, by = booked(kind, start, nipped="no", pinking="unsure", leaks="no")
    found = standing(visit)
    assert {question: row.answer for question, row in found.items()} == {"nipped": "no", "pinking": "unsure"}
    assert {(row.source, row.by) for row in found.values()} == {(Finding.OWNER, by)}
    assert (visit.route, visit.route_asked) == ("", "")  # nothing stops it: the rest waits for the sheet
    assert not hasattr(visit, "sheet")


@pytest.mark.parametrize("told", [{"nipped": "yes"}, {"pinking": "yes"}, {"leaks": "yes"}])
def test_what_stops_the_machine_acts_at_once(kind, start, told):
    visit, _ = booked(kind, start, **{"nipped": "no", "pinking": "no", "leaks": "no"} | told)
    assert latest(visit).route == routes.DO_NOT_RUN
    assert visit.is_kept_off
    assert visit.messages.filter(what="sheet_outcome_do_not_run").exists()
    assert ("leaks-petrol" in visit_case(visit).values.get("remarks", [])) == ("leaks" in told)


def test_an_owner_who_books_online_is_asked_on_the_sheet(kind, start):
    assert not booking.booked(kind, start).findings.exists()
