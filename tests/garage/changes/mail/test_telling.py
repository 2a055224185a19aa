from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.mail import messages, telling
from garage.core import states
from garage.core.errors import BadInput
from garage.models.messages import Message
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
REPORT = "Final-Recipient: rfc822;{address}\nAction: {action}\nStatus: 5.1.1\nDiagnostic-Code: smtp; 550 gone\n"


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def visit():
    garage.shop()
    return garage.visit(machine=garage.machine(owner=garage.owner(email="pat@example.org")))


def sent(visit, now, what="visit_booked"):
    message = messages.write(what, to=visit.owner.email, visit=visit, shop=the_shop(), context={}, now=now)
    messages.mark_sent(message, at=now)
    return message


def report(address="pat@example.org", action="failed", number=None):
    text = REPORT.format(address=address, action=action)
    return text if number is None else f"{text}\nMessage-ID: <tickover.{number}.20261130095901@quarry.example.com>\n"


def test_what_a_person_has_told_is_noted_once(visit, now):
    message, by = sent(visit, now), garage.front_desk()
    telling.told(message, by=by, now=now)
    message.refresh_from_db()
    assert (message.told_at, message.told_by) == (now, by)
    check_noted(f"texted or rang: {message.subject}", by=by, at=now, about=f"message {message.pk}", visit=visit)
    with refuses("This is told already: it has left the list."):
        telling.told(message, by=by, now=now)


@pytest.mark.parametrize(
    ("given", "is_kept"),
    [
        ({"must_not_run": ["It has nipped up."]}, True),
        ({"route": "do-not-run"}, True),
        ({}, False),
        ({"route": "do-not-run", "state": states.COLLECTED}, False),
    ],
)
def test_that_its_owner_opened_the_page_is_kept_while_it_matters(visit, now, given, is_kept):
    Visit.objects.update(**given)
    visit.refresh_from_db()
    telling.opened_by_owner(visit, now=now)
    visit.refresh_from_db()
    assert visit.page_opened_at == (now if is_kept else None)


def test_a_report_marks_the_mail_it_names_and_says_why(visit, now):
    named, _, by = sent(visit, now), sent(visit, now + timedelta(minutes=1)), garage.front_desk()
    assert telling.report_came_back(report(number=named.pk), by=by, now=now) == [named]
    row = Message.objects.get(bounced_at=now)
    assert row == named
    assert row.trouble == "A report says that it did not arrive (5.1.1): 550 gone"
    check_noted(
        f"not delivered to pat@example.org: {row.subject}",
        by=by,
        at=now,
        about=f"message {row.pk}",
        visit=visit,
        report=row.trouble,
    )


def test_a_report_without_our_number_is_about_the_newest_mail_to_the_address(visit, now):
    _, newest = sent(visit, now), sent(visit, now + timedelta(minutes=1))
    assert telling.report_came_back(report("PAT@example.org"), by=garage.boss(), now=now) == [newest]


def test_a_report_given_twice_changes_nothing_more(visit, now):
    sent(visit, now)
    by = garage.boss()
    telling.report_came_back(report(), by=by, now=now)
    telling.report_came_back(report(), by=by, now=now + timedelta(hours=1))
    assert Message.objects.get().bounced_at == now


def test_a_report_about_somebody_else_is_refused_with_the_address(visit, now):
    message = sent(visit, now)
    for wrong in (report("robin@example.org"), report("robin@example.org", number=message.pk), report(number=10**9)):
        with pytest.raises(BadInput, match=r"The report is about \S+@example.org; allowed is a mail that was sent"):
            telling.report_came_back(wrong, by=garage.boss(), now=now)
    assert not Message.objects.filter(bounced_at__isnull=False).exists()


def test_a_delay_is_nothing_to_act_on(visit, now):
    sent(visit, now)
    with refuses("This report tells of a delay or of a delivery, not of a mail that was lost: nothing to do."):
        telling.report_came_back(report(action="delayed"), by=garage.boss(), now=now)


def test_a_mail_that_came_back_can_be_sent_again_once_the_address_is_right(visit, now, settings):
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    message, by = sent(visit, now), garage.boss()
    telling.report_came_back(report(), by=by, now=now)
    visit.owner.email = "pat.new@example.org"
    visit.owner.save()
    messages.try_again(Message.objects.get(), by=by, now=now)
    message.refresh_from_db()
    assert (message.to, message.bounced_at, message.sent_at) == ("pat.new@example.org", None, None)
