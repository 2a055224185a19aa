"""What stands on the list to text or ring: each reason, and each way off it."""

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.mail import messages, telling
from garage.core import states
from garage.core.mail.reminders import DAY_BEFORE
from garage.models.messages import Message
from garage.models.visits import Visit
from garage.reads.messages import WARNING, to_tell
from tests.factories import garage

pytestmark = pytest.mark.django_db
HALF_A_DAY = timedelta(hours=12)


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def visit():
    garage.shop()
    return garage.visit()


def written(visit, now, what="visit_booked", *, to="pat@example.org", sent=True):
    words = messages.Letter("Booked", "Text", "<p>Text</p>")
    message = messages.keep(what, words, to=to, visit=visit, now=now)
    if sent and to:
        messages.mark_sent(message, at=now)
    return message


def must_not_run(visit):
    Visit.objects.filter(pk=visit.pk).update(must_not_run=["It has nipped up."])


def test_what_was_sent_or_still_waits_is_not_listed(visit, now):
    written(visit, now)
    written(visit, now, sent=False)
    assert list(to_tell(now)) == []


def test_no_address_refused_and_come_back_are_listed_until_told(visit, now):
    nobody, refused, back = (written(visit, now, to=to, sent=False) for to in ("", "a@example.org", "b@example.org"))
    messages.mark_not_sent(refused, why="The mail server refuses the address (code 550).", for_good=True, at=now)
    messages.mark_sent(back, at=now)
    Message.objects.filter(pk=back.pk).update(bounced_at=now)
    assert list(to_tell(now)) == [nobody, refused, back]
    for message in (nobody, refused, back):
        telling.told(message, by=garage.boss(), now=now)
    assert list(to_tell(now)) == []


def test_a_reminder_leaves_the_list_when_its_time_has_begun_or_the_machine_is_here(visit, now):
    written(visit, now, DAY_BEFORE, to="")
    assert to_tell(visit.starts_at - timedelta(minutes=1)).count() == 1
    assert to_tell(visit.starts_at).count() == 0
    Visit.objects.update(state=states.HERE)
    assert to_tell(now).count() == 0


def test_a_warning_without_an_address_is_listed_at_once_and_first(visit, now):
    must_not_run(visit)
    other = written(visit, now, to="")
    warning = written(visit, now + timedelta(minutes=1), WARNING, to="")
    assert list(to_tell(now + timedelta(minutes=2))) == [warning, other]


def test_a_warning_without_an_address_is_off_the_list_once_its_owner_has_opened_the_page(visit, now):
    must_not_run(visit)
    warning = written(visit, now, WARNING, to="")
    Visit.objects.update(page_opened_at=now - timedelta(minutes=1))
    assert list(to_tell(now)) == [warning]
    Visit.objects.update(page_opened_at=now)
    assert list(to_tell(now)) == []


def test_a_warning_is_listed_once_it_was_unread_for_half_a_day(visit, now):
    must_not_run(visit)
    warning = written(visit, now, WARNING)
    assert list(to_tell(now + HALF_A_DAY - timedelta(seconds=1))) == []
    assert list(to_tell(now + HALF_A_DAY)) == [warning]


def test_a_warning_that_was_only_kept_here_is_listed_at_once(visit, now):
    must_not_run(visit)
    warning = written(visit, now, WARNING, sent=False)
    messages.keep_here(warning, at=now)
    assert list(to_tell(now)) == [warning]


@pytest.mark.parametrize(
    ("given", "listed"),
    [
        ({"page_opened_at": timedelta(minutes=1)}, False),
        ({"page_opened_at": timedelta(minutes=-1)}, True),  # before the warning: not of it
        ({"state": states.HERE}, False),
        ({"state": states.CALLED_OFF}, False),
        ({"must_not_run": []}, False),
        ({"must_not_run": [], "route": "do-not-run"}, True),
    ],
)
def test_a_warning_leaves_the_list_when_it_is_read_or_no_longer_holds(visit, now, given, listed):
    must_not_run(visit)
    written(visit, now, WARNING)
    values = {name: now + value if isinstance(value, timedelta) else value for name, value in given.items()}
    Visit.objects.filter(pk=visit.pk).update(**values)
    assert to_tell(now + HALF_A_DAY).exists() is listed


def test_any_other_mail_may_stay_unread(visit, now):
    must_not_run(visit)
    written(visit, now)
    assert list(to_tell(now + timedelta(days=9))) == []
