import pytest
from django.urls import reverse
from django.utils import timezone

from garage.changes.mail import messages
from garage.output.post import Enclosed
from garage.reads.shop import the_shop
from tests.factories import garage as make
from tests.factories.addresses import personal_address

pytestmark = pytest.mark.django_db
CALENDAR = Enclosed("visit.ics", "text/calendar; charset=utf-8; method=PUBLISH", b"BEGIN:VCALENDAR\r\n")


@pytest.fixture
def message():
    make.shop()
    visit = make.visit()
    return messages.write(
        "visit_booked",
        to=visit.owner.email,
        visit=visit,
        shop=the_shop(),
        context={},
        enclosures=[CALENDAR],
        now=timezone.now(),
    )


@pytest.fixture
def desk(client):
    client.force_login(make.front_desk())
    return client


def page(client, name, *args):
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_waiting_message_is_listed_among_those_not_sent_yet(desk, message):
    said = page(desk, "sent")
    assert "Not sent yet" in said
    assert message.subject in said
    assert "waiting" in said


def test_a_sent_message_is_listed_below_with_its_state_in_words(desk, message):
    messages.mark_sent(message, at=timezone.now())
    said = page(desk, "sent")
    assert "Not sent yet" not in said
    assert message.subject in said


def test_trouble_is_shown_on_both_pages(desk, message):
    messages.mark_not_sent(
        message, why="The mail server refuses the address (code 550).", for_good=True, at=timezone.now()
    )
    for said in (page(desk, "sent"), page(desk, "sent-message", message.id)):
        assert "The mail server refuses the address (code 550)." in said
        assert "not sent" in said.lower()


def test_a_message_kept_here_can_be_read_with_its_links_and_its_file(desk, message):
    messages.keep_here(message, at=timezone.now())
    said = page(desk, "sent-message", message.id)
    assert "no mail server is set" in said
    assert personal_address(message.visit, "sheet") in said
    file = desk.get(reverse("enclosure", args=[message.id, message.enclosures.get().id]))
    assert file.content == CALENDAR.content
    assert file["Content-Type"] == CALENDAR.content_type
    assert file["Content-Disposition"] == 'attachment; filename="visit.ics"'


def test_an_attachment_of_another_message_is_not_found(desk, message):
    other = messages.write(
        "visit_booked", to="a@example.org", visit=message.visit, shop=the_shop(), context={}, now=timezone.now()
    )
    assert desk.get(reverse("enclosure", args=[other.id, message.enclosures.get().id])).status_code == 404


def test_trying_again_without_a_mail_server_is_refused_in_one_sentence(desk, message):
    answer = desk.post(reverse("sent-again", args=[message.id]), follow=True)
    assert "No mail server is set" in answer.content.decode()


def test_a_retry_makes_it_due_at_once(desk, message, settings):
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    messages.mark_not_sent(message, why="It failed.", for_good=True, at=timezone.now())
    desk.post(reverse("sent-again", args=[message.id]))
    assert messages.claim_next(timezone.now()) == message


def test_strangers_read_nothing(client, message):
    for name, args in (("sent", []), ("sent-message", [message.id]), ("enclosure", [message.id, 1])):
        assert reverse("log-in") in client.get(reverse(name, args=args))["Location"]


def test_the_sent_page_takes_the_same_queries_however_many_messages(desk, message, django_assert_max_num_queries):
    for _ in range(6):
        messages.write(
            "visit_booked", to="a@example.org", visit=message.visit, shop=the_shop(), context={}, now=timezone.now()
        )
    with django_assert_max_num_queries(5):
        page(desk, "sent")


REPORT = "Final-Recipient: rfc822;{}\nAction: failed\nStatus: 5.1.1\n"


def test_a_report_pasted_in_shows_on_message_visit_and_ring_list(desk, message):
    messages.mark_sent(message, at=timezone.now())
    answer = desk.post(reverse("delivery-report"), {"source": REPORT.format(message.to)}, follow=True)
    assert answer.redirect_chain == [(f"{reverse('ring-list')}#to-tell", 302)]
    why = "A report says that it did not arrive (5.1.1)"
    assert f"<b>{why}</b>" in answer.text
    assert f"came back: {why}" in page(desk, "sent").lower().replace(why.lower(), why)
    assert f"not reached.</b> {why}" in page(desk, "visit", message.visit.number)
    assert "Try again now" in page(desk, "sent-message", message.pk)


def test_what_is_no_report_is_refused_by_its_field_and_stays(desk, message):
    answer = desk.post(reverse("delivery-report"), {"source": "Dear all,"})
    assert answer.status_code == 422
    assert answer.text.count("The report is none that says whom it was not delivered to") == 1
    assert "Dear all," in answer.text


def test_a_refused_address_shows_on_the_visit(desk, message):
    refused = "The mail server refuses the address (code 550)."
    messages.mark_not_sent(message, why=refused, for_good=True, at=timezone.now())
    said = page(desk, "visit", message.visit.number)
    assert f"not reached.</b> {refused}" in said
    assert f"not sent: {refused}" in said
