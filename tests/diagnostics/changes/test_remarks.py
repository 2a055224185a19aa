"""What the owner ticks acts: on the judgement, at take-in and on the card, until the workshop has put it right."""

import pytest
from django.utils import timezone

from diagnostics.changes import remarks, sheets
from diagnostics.core.rev_out_safety import REMARK_OF, TICKS
from diagnostics.models.sheets import RemarkPutRight
from diagnostics.pages.findings import findings_page
from diagnostics.pages.sheet import question_page
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import visit_case
from diagnostics.reads.judgement import latest
from garage.core import routes, states
from garage.core.errors import BadInput, Refused
from garage.models.trail import TrailRow
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.factories.diagnostics import HEALTHY, answered

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    garage.shop()
    return garage.visit(machine=garage.machine(kind=garage.machine_kind()))


@pytest.fixture
def person():
    return garage.person()


def ticked(visit, *ticks, given=""):
    sheets.answer_rev_out(visit, given=given, ticks=list(ticks), now=timezone.now())


def judged(visit):
    return latest(visit).judgement


@pytest.mark.parametrize("tick", list(REMARK_OF))
def test_every_tick_is_a_remark_of_the_case_and_keeps_it_off_the_rollers(visit, tick):
    answered(visit, HEALTHY)
    assert judged(visit).route == routes.ROLLER_READY
    assert "remarks" not in visit_case(visit).values
    ticked(visit, tick)
    assert visit_case(visit).values["remarks"] == [REMARK_OF[tick]]
    assert judged(visit).route != routes.ROLLER_READY
    visit.refresh_from_db()
    assert visit.owner_remarks == [TICKS[tick]]


def test_a_leak_stops_it_and_the_owner_who_sends_the_sheet_is_told_not_to_start_it(visit):
    answered(visit, HEALTHY)
    ticked(visit, "leaks_petrol")
    sheets.send(visit, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.route, visit.route_asked) == ("", routes.DO_NOT_RUN)
    message = visit.messages.get(what="sheet_outcome_do_not_run")
    assert "do not start it" in message.text
    assert "Ready for the rollers" not in message.text


def test_brakes_or_tyres_leave_the_rev_out_to_be_done(visit):
    answered(visit, HEALTHY)
    ticked(visit, "brakes_or_tyres", given="smoky")
    assert visit_case(visit).values["answers"]["rev_out"] == "smoky"
    assert question_page(visit, the_bank().question("rev_out")).why_not == ()
    ticked(visit, "brakes_or_tyres", "no_exhaust", given="clean")
    assert "rev_out" not in visit_case(visit).values["answers"]


def test_what_is_told_by_telephone_is_ticked_for_the_owner(visit, person):
    remarks.told_by_telephone(visit, remark="no-exhaust", by=person, now=timezone.now())
    kept = remarks.told_by_telephone(visit, remark="leaks-petrol", by=person, now=timezone.now())
    assert visit_case(visit).values["remarks"] == ["leaks-petrol", "no-exhaust"]
    assert kept.route == routes.DO_NOT_RUN
    assert TrailRow.objects.filter(visit=visit, did__startswith="told by telephone", by=person).count() == 2
    with pytest.raises(BadInput, match="remark"):
        remarks.told_by_telephone(visit, remark="", by=person, now=timezone.now())


def test_put_right_by_the_workshop_it_no_longer_stops_and_the_tick_stays_beside_it(visit, person):
    answered(visit, HEALTHY)
    ticked(visit, "leaks_petrol")
    for words in (" ", "sealed it", "x" * 201):
        with pytest.raises(BadInput, match="Found and put right"):
            remarks.put_right(visit, remark="leaks-petrol", words=words, by=person, now=timezone.now())
    kept = remarks.put_right(visit, remark="leaks-petrol", words="New tap seal.", by=person, now=timezone.now())
    assert kept.route == routes.ROLLER_READY
    visit.refresh_from_db()
    assert visit.owner_remarks == []
    assert visit.sheet.leaks_petrol
    page = findings_page(visit, the_shop())
    assert page.remarks == ()
    [(words, row)] = page.put_right
    assert (words, row.words, row.by) == ("It leaks petrol", "New tap seal.", person)
    with pytest.raises(Refused, match="no longer stands"):
        remarks.put_right(visit, remark="leaks-petrol", words="Again.", by=person, now=timezone.now())


def test_told_again_after_it_was_put_right_it_stands_again(visit, person):
    answered(visit, HEALTHY)
    ticked(visit, "leaks_petrol")
    remarks.put_right(visit, remark="leaks-petrol", words="New tap seal.", by=person, now=timezone.now())
    ticked(visit, "no_exhaust")
    assert visit_case(visit).values["remarks"] == ["no-exhaust"]
    assert visit.sheet.__class__.objects.get(visit=visit).leaks_petrol  # what the owner said stays
    remarks.told_by_telephone(visit, remark="leaks-petrol", by=person, now=timezone.now())
    assert visit_case(visit).values["remarks"] == ["leaks-petrol", "no-exhaust"]
    assert not RemarkPutRight.objects.exists()


def test_nothing_is_written_down_about_a_visit_that_is_over(visit, person):
    visit.state = states.COLLECTED
    visit.save()
    with pytest.raises(Refused, match="collected"):
        remarks.told_by_telephone(visit, remark="leaks-petrol", by=person, now=timezone.now())


def test_a_sheet_without_ticks_costs_no_look_at_what_was_put_right(visit, django_assert_num_queries):
    answered(visit, HEALTHY)
    case = visit_case(visit)
    with django_assert_num_queries(0):
        assert case.ticks == ()
