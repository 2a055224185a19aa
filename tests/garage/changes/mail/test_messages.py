import re
from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from garage.changes.mail import messages
from garage.core.errors import Refused
from garage.core.mail.mail_tries import MOST_TRIES
from garage.models.messages import Message
from garage.models.trail import TrailRow
from garage.output.post import Enclosed
from garage.pages.sent import state_words
from garage.reads.messages import to_tell
from garage.reads.shop import the_shop
from tests.factories import garage as make
from tests.factories.addresses import personal_address
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db

OWN_KINDS = [
    *("visit_booked", "visit_moved", "visit_called_off", "visit_time_given"),
    *("fresh_link", "deposit_came"),
]


@pytest.fixture
def visit():
    make.shop()
    owner = make.owner(name="Pat O'Neil & <Daughter>", email="pat@example.org")
    return make.visit(machine=make.machine(owner=owner), price=120)


def write(visit, what="visit_booked", **given):
    return messages.write(
        what,
        **({"to": visit.owner.email, "visit": visit, "shop": the_shop(), "context": {}} | given),
        now=timezone.now(),
    )


@pytest.mark.parametrize("what", OWN_KINDS)
def test_every_message_names_owner_machine_and_garage_and_leaves_no_hole(visit, what):
    message = write(visit, what, context={"sheet_lives": True, "visit_lives": True, "amount": 30})
    for said in ("Pat O'Neil & <Daughter>", "Corrick 185", "Quarry Lane", "01632 960100"):
        assert said in message.text
    assert str(visit.number) in message.text
    assert not re.search(r"[ \t]$|^ +[A-Z]\w+ are|\n{3}", message.text, re.MULTILINE)
    assert "{{" not in message.text + message.html + message.subject
    assert "\n" not in message.subject
    assert message.subject


@pytest.mark.parametrize("what", OWN_KINDS)
def test_text_is_plain_and_html_is_escaped(visit, what):
    message = write(visit, what, context={"amount": 30})
    assert "&amp;" not in message.text
    assert "&lt;Daughter&gt;" in message.html
    assert "<Daughter>" not in message.html
    assert not re.search(r"<(img|script|link)|style=", message.html)


def test_the_booking_carries_both_personal_links_and_the_price(visit):
    message = write(visit)
    assert personal_address(visit, "sheet") in message.text
    assert personal_address(visit, "visit") in message.text
    assert "£120.00" in message.text


def test_the_mail_says_when_to_be_there_and_mentions_a_file_only_if_attached(visit):
    assert "Please be there" not in write(visit).text
    assert "attached file" not in write(visit).text
    arrive_at = visit.starts_at - timedelta(minutes=30)
    enclosed = Enclosed("visit.ics", "text/calendar; method=PUBLISH", b"BEGIN:VCALENDAR")
    text = write(visit, context={"arrive_at": arrive_at}, enclosures=[enclosed]).text
    assert "Please be there at" in text
    assert "attached file" in text


def test_times_are_the_garages_own_in_summer(visit):
    visit.starts_at = datetime(2026, 7, 1, 8, 30, tzinfo=UTC)
    assert "Wednesday 1 July 2026, 09:30" in write(visit).text


def test_a_deposit_is_asked_for_only_when_it_is_open(visit):
    assert "deposit" not in write(visit).text
    visit.deposit = 30
    assert "We ask for a deposit of £30.00" in write(visit).text
    visit.deposit_paid = 30
    assert "We ask for a deposit" not in write(visit).text


def test_do_not_run_is_in_the_mail_that_gives_a_time(visit):
    assert "don't start it" not in write(visit, "visit_time_given").text
    visit.route = "do-not-run"
    assert "don't start it until then" in write(visit, "visit_time_given").text


def test_attachments_are_kept_with_the_message(visit):
    message = write(visit, enclosures=[Enclosed("visit.ics", "text/calendar; method=PUBLISH", b"BEGIN:VCALENDAR")])
    row = message.enclosures.get()
    assert (row.name, row.content_type, bytes(row.content)) == (
        "visit.ics",
        "text/calendar; method=PUBLISH",
        b"BEGIN:VCALENDAR",
    )


def test_without_an_address_the_message_waits_for_a_person_and_is_never_due(visit):
    message = write(visit, to="")
    assert state_words(message, now=timezone.now()) == "not sent"
    assert message.trouble == "No email address is on file."
    assert messages.claim_next(timezone.now()) is None


def test_a_claimed_message_is_not_claimed_again_until_its_lease_is_over(visit):
    message, now = write(visit), timezone.now()
    assert messages.claim_next(now) == message
    assert messages.claim_next(now) is None
    assert messages.claim_next(now + messages.LEASE) == message


def test_a_message_whose_sender_was_killed_goes_again_and_says_so(visit):
    """Nobody knows whether the first sending arrived, so from its second claim on it may have arrived twice."""
    write(visit)
    now = timezone.now()
    assert not messages.claim_next(now).perhaps_twice
    again = messages.claim_next(now + messages.LEASE)
    messages.mark_sent(again, at=now)
    again.refresh_from_db()
    assert (again.perhaps_twice, again.in_hand, again.tries) == (True, False, 2)
    assert state_words(again, now=now) == "sent, perhaps twice"


def test_a_message_whose_last_try_was_cut_off_is_left_to_a_person(visit):
    """A message that ends each of its senders must not be sent for ever."""
    message, now = write(visit), timezone.now()
    for _ in range(MOST_TRIES):
        assert messages.claim_next(now) == message
        assert list(to_tell(now)) == []
        now += messages.LEASE
    assert messages.claim_next(now) is None
    message.refresh_from_db()
    assert (message.trouble, message.tries, message.in_hand) == (messages.CUT_OFF, MOST_TRIES, False)
    assert list(to_tell(now)) == [message]


def test_one_that_is_given_up_does_not_hold_up_the_next(visit):
    write(visit)
    now = timezone.now()
    Message.objects.update(in_hand=True, tries=MOST_TRIES, due_at=now)
    other = write(visit)
    assert messages.claim_next(now + messages.LEASE) == other


def test_a_sending_that_may_have_arrived_is_remembered_whatever_comes_after(visit):
    write(visit)
    now = timezone.now()
    for may_have_arrived in (True, False):
        message = messages.claim_next(now)
        messages.mark_not_sent(message, why="Lost.", for_good=False, may_have_arrived=may_have_arrived, at=now)
        message.refresh_from_db()
        assert (message.perhaps_twice, message.in_hand) == (True, False)
        now = message.due_at


def test_a_message_in_hand_is_not_sent_again_by_a_person_until_its_sender_is_over(visit, settings):
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    by, message, now = make.front_desk(), write(visit), timezone.now()
    assert messages.claim_next(now) == message
    with refuses("It is being sent at this moment: look again in some minutes."):
        messages.try_again(message, by=by, now=now)
    messages.try_again(message, by=by, now=now + messages.LEASE)
    message.refresh_from_db()
    assert (message.in_hand, message.tries) == (False, 0)


def test_a_sent_message_is_never_due_again(visit):
    write(visit)
    claimed = messages.claim_next(timezone.now())
    messages.mark_sent(claimed, at=timezone.now())
    assert messages.claim_next(timezone.now() + timedelta(days=9)) is None
    assert state_words(claimed, now=timezone.now()) == "sent"


def test_failed_attempts_wait_longer_each_time_and_stop(visit):
    write(visit)
    now, waits = timezone.now(), []
    while message := messages.claim_next(now):
        messages.mark_not_sent(message, why="The mail server cannot be reached.", for_good=False, at=now)
        waits.append(message.due_at - now)
        now = message.due_at
    assert len(waits) == MOST_TRIES
    assert waits[:-1] == sorted(set(waits))
    assert state_words(Message.objects.get(), now=now) == "not sent"


def test_a_permanent_refusal_is_not_retried(visit):
    write(visit)
    message = messages.claim_next(timezone.now())
    messages.mark_not_sent(message, why="The mail server refuses the address.", for_good=True, at=timezone.now())
    assert messages.claim_next(timezone.now() + timedelta(days=9)) is None


def test_a_person_can_have_it_tried_again_to_the_address_now_on_file(visit, settings):
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    message = write(visit, to="")
    visit.owner.email = "new@example.org"
    visit.owner.save()
    messages.try_again(message, by=make.front_desk(), now=timezone.now())
    assert messages.claim_next(timezone.now()).to == "new@example.org"
    assert TrailRow.objects.get().did == "sent again"


def test_a_sent_message_is_not_sent_again(visit, settings):
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    message = write(visit)
    messages.mark_sent(message, at=timezone.now())
    with pytest.raises(Refused, match="sent already"):
        messages.try_again(message, by=make.front_desk(), now=timezone.now())


def test_trying_again_without_a_mail_server_says_so(visit):
    message = write(visit)
    with pytest.raises(Refused, match="No mail server"):
        messages.try_again(message, by=make.front_desk(), now=timezone.now())


def test_a_message_is_kept_with_whom_it_is_for_and_when(visit):
    now = timezone.now() - timedelta(minutes=1)
    message = messages.write("visit_booked", to="a@example.org", visit=visit, shop=the_shop(), context={}, now=now)
    message.refresh_from_db()
    assert (message.visit, message.what, message.to) == (visit, "visit_booked", "a@example.org")
    assert (message.written_at, message.due_at, message.sent_at) == (now, now, None)
    assert (message.tries, message.trouble, message.kept_here) == (0, "", False)
    assert message.text.startswith("Hello Pat O'Neil & <Daughter>,\n\n")
    assert message.text.endswith("Telephone 01632 960100\n")


def test_a_subject_is_one_line_of_at_most_two_hundred_characters(visit):
    visit.machine.words = f"Corrick \n 185 {'x' * 200}"
    subject = write(visit, "visit_called_off").subject
    assert subject.startswith(f"Visit {visit.number} for your Corrick 185 xxx")
    assert len(subject) == 200


def test_a_message_without_a_visit_carries_no_personal_link(visit):
    given = {"to": "a@example.org", "shop": the_shop(), "context": {}, "now": timezone.now()}
    message = messages.write("visit_called_off", visit=None, **given)
    assert message.visit is None
    assert "/visit/" not in message.text


def test_a_claim_counts_a_try_and_lasts_five_minutes(visit):
    write(visit)
    now = timezone.now()
    claimed = messages.claim_next(now)
    claimed.refresh_from_db()
    assert (claimed.tries, claimed.due_at) == (1, now + timedelta(minutes=5))


def test_what_was_sent_or_kept_here_says_when_and_forgets_its_trouble(visit):
    now = timezone.now()
    for keep, kept_here in ((messages.mark_sent, False), (messages.keep_here, True)):
        message = write(visit)
        message.trouble = "The mail server cannot be reached."
        keep(message, at=now)
        message.refresh_from_db()
        assert (message.sent_at, message.trouble, message.kept_here) == (now, "", kept_here)


# Minutes that a message waits after its first, second … try. The last try is its eighth.
@pytest.mark.parametrize(
    ("tries", "minutes"), [(1, 1), (2, 5), (3, 15), (4, 60), (5, 180), (6, 360), (7, 720), (8, 720)]
)
def test_each_failed_try_waits_its_time_and_says_why(visit, tries, minutes):
    message, now = write(visit), timezone.now()
    message.tries = tries
    messages.mark_not_sent(message, why="y" * 301, for_good=False, at=now)
    message.refresh_from_db()
    assert (message.tries, message.trouble) == (tries, "y" * 300)
    assert message.due_at == now + timedelta(minutes=minutes)


def test_a_refusal_for_good_uses_up_all_tries(visit):
    message = write(visit)
    messages.mark_not_sent(message, why="No such address.", for_good=True, at=timezone.now())
    message.refresh_from_db()
    assert (message.tries, message.trouble) == (MOST_TRIES, "No such address.")


def test_a_message_tried_again_begins_anew_and_is_noted(visit, settings):
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    message, by, now = write(visit), make.front_desk(), timezone.now()
    messages.mark_not_sent(message, why="No such address.", for_good=True, at=now)
    messages.keep_here(message, at=now)
    later = now + timedelta(minutes=3)
    messages.try_again(message, by=by, now=later)
    check_noted("sent again", by=by, at=later, about=f"message {message.pk}", visit=visit)
    message.refresh_from_db()
    assert (message.to, message.sent_at, message.kept_here) == ("pat@example.org", None, False)
    assert (message.tries, message.trouble, message.due_at) == (0, "", later)


def test_each_refusal_to_send_again_says_what_to_do(visit, settings):
    by, now, message = make.front_desk(), timezone.now(), write(visit)
    with refuses("No mail server is set, so nothing can be sent: read it out, or copy it."):
        messages.try_again(message, by=by, now=now)
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    visit.owner.email = ""
    visit.owner.save()
    with refuses("There is no email address on file: add one on the owner's page first."):
        messages.try_again(message, by=by, now=now)
    messages.mark_sent(message, at=now)
    with refuses("This message has been sent already."):
        messages.try_again(message, by=by, now=now)
