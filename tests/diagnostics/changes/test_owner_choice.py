"""Fix first, from the sheet to the new time: the owner is asked, mends it, and tells anew how it revs out."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import sheets
from diagnostics.changes.owner_choice import fix_it_yourself
from diagnostics.pages.outcome import outcome_page
from diagnostics.reads.case import standing, visit_case
from garage.changes.visit import owner_choices
from garage.core import routes, states
from garage.core.errors import Refused
from garage.models.actors import OWNER
from garage.models.messages import Message
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from tests.factories import booking, garage
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY, answered, heard_clip

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    garage.shop(choose_hours=24, fix_first_acts_alone=True)
    garage.person()
    garage.person()
    visit = booking.booked(garage.visit_kind(), booking.at_local(booking.workday(ahead=5), 10))
    visit.machine.kind = garage.machine_kind()
    visit.machine.save()
    return visit


def fresh(visit):
    return Visit.objects.select_related("owner", "machine__kind", "kind").get(pk=visit.pk)


def sent(visit, answers):
    answered(fresh(visit), answers)
    sheets.send(fresh(visit), now=timezone.now())
    return fresh(visit)


def test_the_sheet_asks_its_owner_and_says_until_when(visit):
    visit = sent(visit, FALSE_CEILING)
    assert (visit.route, visit.choice, visit.at) == (routes.FIX_FIRST, "asked", "roller")
    mail = Message.objects.filter(visit=visit).first()
    by = the_shop().local_time.in_words(visit.choose_by)
    for text in (" ".join(mail.text.split()), outcome_page(visit, the_shop()).outcome.slot):
        assert "leave it with us: choose on your visit’s page" in text
        assert f"If we hear nothing by {by}, your time on the rollers is given back" in text
    assert not mail.enclosures.exists()  # it stays in the owner's diary


def test_with_little_time_left_the_mail_says_that_somebody_rings(visit):
    near = timezone.now() + timedelta(hours=30)
    Visit.objects.filter(pk=visit.pk).update(starts_at=near)
    visit = sent(visit, FALSE_CEILING)
    assert "someone from the workshop rings you" in Message.objects.filter(visit=visit).first().text.replace("\n", " ")
    assert visit.to_ask


def test_where_nobody_is_asked_the_time_is_given_back_at_once(visit):
    garage.shop(choose_hours=0, fix_first_acts_alone=True)
    visit = sent(visit, FALSE_CEILING)
    assert (visit.choice, visit.starts_at) == ("", None)


def test_the_same_judgement_again_neither_asks_again_nor_takes_the_time(visit):
    visit = sent(visit, FALSE_CEILING)
    before, mails = visit.choose_by, Message.objects.count()
    visit = sent(visit, {"damp": "yes"})
    assert (visit.choose_by, visit.choice, visit.at) == (before, "asked", "roller")
    assert Message.objects.count() == mails


def test_mended_at_home_the_rev_out_is_asked_again_before_a_new_time(visit):
    visit = sent(visit, FALSE_CEILING)
    heard_clip(visit)
    assert visit_case(fresh(visit)).heard
    visit = fix_it_yourself(fresh(visit), by=OWNER, now=timezone.now())
    assert visit.state == states.TO_PUT_RIGHT
    assert "rev_out" not in standing(visit)
    assert not visit_case(fresh(visit)).heard  # it was recorded before
    assert fresh(visit).sheet.sent_at is None
    with pytest.raises(Refused, match="How does it rev out"):
        sheets.send(fresh(visit), now=timezone.now())
    at = booking.at_local(booking.workday(ahead=6), 14)
    with pytest.raises(Refused, match="First the check sheet again"):
        owner_choices.take_time(fresh(visit), starts_at=at, now=timezone.now())
    visit = sent(visit, HEALTHY)
    assert (visit.route, visit.route_asked) == (routes.ROLLER_READY, "")
    assert "pick a new time" in Message.objects.filter(visit=visit).first().text
    assert owner_choices.take_time(visit, starts_at=at, now=timezone.now()).starts_at == at


def test_not_mended_it_is_still_to_be_put_right_and_may_be_left_with_us(visit):
    visit = sent(visit, FALSE_CEILING)
    fix_it_yourself(fresh(visit), by=OWNER, now=timezone.now())
    visit = sent(visit, {"rev_out": "ceiling"})
    assert (visit.route, visit.choice, visit.starts_at) == (routes.FIX_FIRST, "myself", None)
    at = booking.at_local(booking.workday(ahead=6), 14)
    assert owner_choices.leave_with_us(
        visit, starts_at=at, limit_pounds=0, may_go_on=False, now=timezone.now()
    ).is_left_with_us
