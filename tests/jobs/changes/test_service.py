"""A service reminder is set with a job, mailed once when it is due, and never again once the owner has said no."""

from datetime import UTC, date, datetime, timedelta

import pytest

from garage.changes.mail import worded
from garage.changes.people import owners
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.mail.reminders import SERVICE
from garage.core.mail.wording import WORDED
from garage.models.actors import OWNER
from garage.models.messages import Message
from garage.models.owners import Owner
from garage.models.visits import Visit
from garage.pages.to_tell import lines_to_tell
from garage.reads.shop import the_shop
from jobs.changes import reminders, service
from jobs.models.service import ServiceReminder
from tests.factories import garage, jobs
from tests.factories.addresses import personal_address

pytestmark = pytest.mark.django_db
SET_AT = datetime(2026, 1, 15, 10, tzinfo=UTC)  # in winter the garage's clock shows UTC
NOON = datetime(2026, 7, 15, 11, tzinfo=UTC)  # in summer an hour before it
A_MINUTE = timedelta(minutes=1)


@pytest.fixture
def visit():
    return jobs.card(visit=jobs.visit_here()).visit


def set_for(visit, *, what="strobe it again", after_km=500, months=6, now=SET_AT):
    return service.remind_later(visit, what=what, after_km=after_km, months=months, by=garage.person(), now=now)


def written(*, now):
    before = set(Message.objects.values_list("pk", flat=True))
    reminders.remind_all(now=now)
    return list(Message.objects.exclude(pk__in=before))


def test_it_is_mailed_once_at_noon_of_its_day_with_the_distance_in_the_words(visit):
    assert set_for(visit).due_on == date(2026, 7, 15)
    Visit.objects.update(state=states.COLLECTED, collected_at=SET_AT)
    assert written(now=NOON - A_MINUTE) == []
    [message] = written(now=NOON)
    assert (message.what, message.to) == (SERVICE, visit.owner.email)
    assert message.subject == f"Your {visit.machine.words}: strobe it again after about 500 km"
    assert "strobe it again after about 500 km." in message.text
    assert personal_address(visit, "reminders") in message.text
    assert written(now=NOON + A_MINUTE) == []


def test_it_goes_out_neither_at_night_nor_weeks_late(visit):
    set_for(visit)
    assert written(now=NOON + timedelta(hours=12)) == []
    assert written(now=NOON + timedelta(days=7)) == []
    assert len(written(now=NOON + timedelta(days=7) - A_MINUTE)) == 1


def test_the_shop_switches_it_off_and_words_it_itself(visit):
    set_for(visit)
    given = {"subject": WORDED[SERVICE].subject, "by": garage.boss(), "now": SET_AT}
    worded.reword(SERVICE, is_on=False, text=WORDED[SERVICE].text, **given)
    assert written(now=NOON) == []
    worded.reword(SERVICE, is_on=True, text="It is time: {service}. Not wanted? {no_link}", **given)
    assert written(now=NOON)[0].text.startswith("It is time: strobe it again after about 500 km.")
    with pytest.raises(BadInput, match="no_link"):
        worded.reword(SERVICE, is_on=True, text="It is time: {service}.", **given)


def test_an_owner_without_mail_is_to_be_texted_or_rung(visit):
    Owner.objects.update(email="")
    set_for(visit)
    written(now=NOON)
    [line] = lines_to_tell(the_shop(), now=NOON)
    assert "strobe it again after about 500 km" in line.words


def test_an_owner_who_said_no_is_reminded_of_nothing_more_with_any_visit(visit):
    set_for(visit)
    owners.want_no_service_reminders(visit.owner, by=OWNER, now=SET_AT)
    assert written(now=NOON) == []
    another = jobs.card(visit=jobs.visit_here(machine=visit.machine)).visit
    with pytest.raises(Refused, match="wants no service reminders"):
        set_for(another)
    owners.want_service_reminders(Owner.objects.get(pk=visit.owner_id), by=OWNER, now=SET_AT)
    assert len(written(now=NOON)) == 1
    set_for(another)


def test_a_no_is_kept_when_two_records_of_an_owner_are_joined(visit):
    double, boss = garage.owner(), garage.boss()
    owners.want_no_service_reminders(double, by=OWNER, now=SET_AT)
    owners.join_owners(visit.owner, double, by=boss, now=SET_AT)
    with pytest.raises(Refused, match="wants no service reminders"):
        set_for(visit)
    owners.want_service_reminders(visit.owner, by=OWNER, now=SET_AT)
    set_for(visit)


def test_it_is_set_anew_or_taken_away_while_it_is_not_due(visit):
    set_for(visit)
    set_for(visit, what="look at the belt", after_km=None, months=12)
    assert ServiceReminder.objects.get().says == "look at the belt"
    assert written(now=NOON) == []
    service.remind_no_more(visit, by=garage.person(), now=SET_AT)
    assert written(now=NOON.replace(year=2027, month=1)) == []
    with pytest.raises(Refused, match="No service reminder is set"):
        service.remind_no_more(visit, by=garage.person(), now=SET_AT)


def test_without_a_card_there_is_no_work_to_remind_of():
    with pytest.raises(Refused, match="no card yet"):
        set_for(jobs.visit_here())
