import signal
from datetime import time, timedelta

import environ
import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.utils import timezone

from garage import tasks
from garage.celery import app
from garage.changes.mail import messages
from garage.changes.people import attempts
from garage.core.mail.mail_tries import MOST_TRIES
from garage.core.text.languages import GERMAN
from garage.models.attempts import Attempt
from garage.models.messages import Message
from garage.output import post
from garage.output.post import Enclosed
from garage.pages.to_tell import lines_to_tell
from garage.reads.shop import the_shop
from garage.running.alone import alone
from garage.running.backups.folder import failure
from garage.running.mail_server import LONGEST_TIMEOUT_S, mail_server_settings
from tests.factories import garage as make
from tests.postbox import GREETING, MIDDLE, TAKEN, postbox

CALENDAR = Enclosed(
    "visit.ics", "text/calendar; charset=utf-8; method=PUBLISH", b"BEGIN:VCALENDAR\r\nX:caf\xc3\xa9\r\n"
)
PAPER = Enclosed("invoice-12.pdf", "application/pdf", b"%PDF-1.7 \x00\xff")


@pytest.fixture
def visit():
    make.shop(name="Quarry Lane Rolling Road", email="garage@example.com")
    return make.visit()


@pytest.fixture
def box(settings):
    """A real mail server on this machine, and the settings that point to it."""
    with postbox() as box:
        settings.EMAIL_URL = box.url
        for name, value in mail_server_settings(environ.Env.email_url_config(f"{box.url}?timeout=1")).items():
            setattr(settings, name, value)
        yield box


def write(visit, **given):
    return messages.write(
        "visit_booked",
        **({"to": visit.owner.email, "visit": visit, "shop": the_shop(), "context": {}} | given),
        now=timezone.now(),
    )


@pytest.mark.django_db
def test_without_a_mail_server_messages_are_kept_here(visit, mailoutbox):
    write(visit)
    tasks.send_due()
    message = Message.objects.get()
    assert message.kept_here
    assert message.sent_at is not None
    assert mailoutbox == []


@pytest.mark.django_db
def test_everything_due_is_sent_once_with_text_html_and_attachments(visit, box):
    first = write(visit, enclosures=[CALENDAR, PAPER])
    write(visit)
    tasks.send_due()
    tasks.send_due()
    assert len(box.mails) == 2
    mail = box.mails[0]
    assert mail["To"] == visit.owner.email
    assert mail["From"] == "Quarry Lane Rolling Road <garage@example.com>"
    assert mail["Subject"] == first.subject
    assert mail["Auto-Submitted"] == "auto-generated"
    assert mail.get_body(("plain",)).get_content().replace("\r\n", "\n") == first.text
    assert "<b>" in mail.get_body(("html",)).get_content()
    calendar, paper = mail.iter_attachments()
    assert (calendar.get_content_type(), calendar.get_param("method")) == ("text/calendar", "PUBLISH")
    assert calendar.get_content() == "BEGIN:VCALENDAR\r\nX:café\r\n"
    assert (paper.get_filename(), paper.get_content()) == (PAPER.name, PAPER.content)


@pytest.mark.django_db
def test_a_mail_in_german_arrives_as_it_was_written_and_says_its_language(visit, box):
    visit.owner.language = GERMAN
    message = write(visit)
    message.subject, message.text = "Prüfstand frei für Ihre Maschine", f"{'Größe ' * 300}\n"
    message.save()
    tasks.send_due()
    (mail,) = box.mails
    assert (mail["Content-Language"], mail["Subject"]) == ("de", message.subject)
    plain = mail.get_body(("plain",))
    assert plain.get_content().replace("\r\n", "\n") == message.text
    assert plain["Content-Transfer-Encoding"] in {"quoted-printable", "base64"}  # 998 octets a line: RFC 5322, 2.1.1


@pytest.mark.django_db
def test_a_message_sent_twice_is_known_by_its_message_id(visit, box):
    """As after a sender that died between handing over and marking: at least once, and recognisable."""
    message = write(visit)
    tasks.send_due()
    Message.objects.filter(pk=message.pk).update(sent_at=None, due_at=timezone.now())
    write(visit)
    tasks.send_due()
    again, other = sorted(box.mails[1:], key=lambda mail: mail["Message-ID"] != box.mails[0]["Message-ID"])
    assert again["Message-ID"] == box.mails[0]["Message-ID"]
    assert other["Message-ID"] != again["Message-ID"]


@pytest.mark.django_db
def test_mail_comes_from_the_address_set_and_answers_go_to_the_shop(visit, box, settings):
    settings.MAIL_FROM = "post@example.net"
    write(visit)
    tasks.send_due()
    assert box.mails[0]["From"] == "post@example.net"
    assert box.mails[0]["Reply-To"] == "garage@example.com"


@pytest.mark.django_db
def test_an_address_refused_for_good_is_not_tried_again_and_others_still_go(visit, box):
    box.refuses["gone@example.org"] = "550 no such mailbox"
    bad, good = write(visit, to="gone@example.org"), write(visit)
    tasks.send_due()
    bad.refresh_from_db()
    good.refresh_from_db()
    assert (bad.tries, bad.sent_at) == (MOST_TRIES, None)
    assert bad.trouble == "The mail server refuses the address (code 550)."
    assert good.sent_at is not None


@pytest.mark.django_db
def test_an_address_refused_for_now_is_tried_later(visit, box):
    box.refuses[visit.owner.email] = "451 try later"
    message = write(visit)
    tasks.send_due()
    message.refresh_from_db()
    assert (message.tries, message.sent_at) == (1, None)
    assert message.due_at > timezone.now()
    box.refuses.clear()
    Message.objects.update(due_at=timezone.now())
    tasks.send_due()
    message.refresh_from_db()
    assert message.sent_at is not None
    assert message.trouble == ""


FOR_GOOD = {
    "the mail after it was read": (TAKEN, "554 5.7.1 no thank you", "refuses this mail (code 554): 5.7.1 no thank you"),
    "an address after the mail": (TAKEN, "550 no such mailbox", "refuses this mail (code 550): no such mailbox"),
    "the mail before it was read": ("DATA", "554 no valid recipients", "refuses this mail (code 554)"),
    "its size": ("MAIL", "552 5.3.4 too big", "refuses this mail (code 552): 5.3.4 too big"),
    "the sender": ("MAIL", "553 not yours", "refuses this mail (code 553): not yours"),
}
FOR_NOW = {
    "the mail": (TAKEN, "451 4.7.1 greylisted"),
    "room": (TAKEN, "452 disk full"),
    "the sender": ("MAIL", "450 come again"),
    "a sender who has not logged in": ("MAIL", "530 5.7.0 log in first"),
    "a log-in that has lapsed": ("MAIL", "535 5.7.8 wrong password"),
    "everybody at the door": (GREETING, "554 no mail here"),
    "everybody, busy": (GREETING, "421 too many"),
}


@pytest.mark.django_db
@pytest.mark.parametrize(("when", "answer", "trouble"), FOR_GOOD.values(), ids=FOR_GOOD)
def test_what_is_refused_for_good_is_not_tried_again_and_comes_to_the_ring_list(visit, box, when, answer, trouble):
    box.answers[when] = answer
    message = write(visit)
    tasks.send_due()
    message.refresh_from_db()
    assert (message.tries, message.sent_at) == (MOST_TRIES, None)
    assert trouble in message.trouble
    [line] = lines_to_tell(the_shop(), now=timezone.now())
    assert (line.message, line.why) == (message, message.trouble)


@pytest.mark.django_db
@pytest.mark.parametrize(("when", "answer"), FOR_NOW.values(), ids=FOR_NOW)
def test_what_is_refused_for_now_or_to_everybody_is_tried_later(visit, box, when, answer):
    box.answers[when] = answer
    message = write(visit)
    tasks.send_due()
    message.refresh_from_db()
    assert (message.tries, message.sent_at) == (1, None)
    assert f"code {answer[:3]}" in message.trouble
    assert lines_to_tell(the_shop(), now=timezone.now()) == ()
    box.answers.clear()
    Message.objects.update(due_at=timezone.now())
    tasks.send_due()
    assert len(box.mails) == 1


@pytest.mark.django_db
def test_a_mail_server_that_is_down_only_costs_a_wait(visit, box):
    box.shutdown()
    box.server_close()
    message = write(visit)
    tasks.send_due()
    message.refresh_from_db()
    assert message.trouble.startswith("The mail server cannot be reached")
    assert message.tries == 1


NOT_ON_THE_WAY = [GREETING]  # before there is a connection that could have taken it
ON_THE_WAY = ["MAIL", "DATA", MIDDLE, TAKEN]


@pytest.mark.django_db
@pytest.mark.parametrize("when", NOT_ON_THE_WAY + ON_THE_WAY)
@pytest.mark.parametrize("how", ["stalls", "dies"])
def test_a_mail_server_that_stalls_or_dies_costs_one_mail_a_wait_and_the_next_goes(visit, box, settings, how, when):
    """The first one is broken off and the run is over, so that the others don't wait in vain; then they go first."""
    settings.EMAIL_TIMEOUT = 1.0 if how == "stalls" else 30.0
    getattr(box, how).add(when)
    first, second = write(visit), write(visit)
    tasks.send_due()
    for message in (first, second):
        message.refresh_from_db()
    said = "broke off" if when in ON_THE_WAY else "cannot be reached"
    assert first.trouble.startswith(f"The mail server {said} (")
    assert (first.tries, first.perhaps_twice, first.in_hand) == (1, when in ON_THE_WAY, False)
    assert (second.tries, second.trouble) == (0, "")
    getattr(box, how).clear()
    settings.EMAIL_TIMEOUT = 30.0
    box.mails.clear()
    tasks.send_due()
    second.refresh_from_db()
    first.refresh_from_db()
    assert (second.sent_at is not None, first.sent_at) == (True, None)


@pytest.mark.django_db
def test_a_mail_that_arrived_without_a_word_goes_again_as_the_same(visit, box):
    box.dies.add(TAKEN)
    message = write(visit)
    tasks.send_due()
    box.dies.clear()
    Message.objects.update(due_at=timezone.now())
    tasks.send_due()
    message.refresh_from_db()
    assert (message.sent_at is not None, message.perhaps_twice) == (True, True)
    assert len(box.mails) == 2
    assert len({mail["Message-ID"] for mail in box.mails}) == 1


@pytest.mark.django_db
def test_a_mail_server_that_has_the_mail_and_does_not_say_goodbye_is_not_waited_for(visit, box, settings, monkeypatch):
    settings.EMAIL_TIMEOUT = 60
    monkeypatch.setattr(post, "GOODBYE_S", 0.1)
    box.stalls.add("QUIT")
    message = write(visit)
    tasks.send_due()
    message.refresh_from_db()
    assert (message.sent_at is not None, message.perhaps_twice) == (True, False)


@pytest.mark.django_db
def test_a_sending_that_takes_minutes_is_broken_off_by_the_limit_of_its_task(visit, box, settings, monkeypatch):
    """Whatever the time-out of each answer: the limit comes as a signal that raises, as in a worker."""

    def over(*_):
        raise SoftTimeLimitExceeded

    settings.EMAIL_TIMEOUT = 60
    monkeypatch.setattr(post, "GOODBYE_S", 0.1)
    box.stalls.add(TAKEN)
    message, other = write(visit), write(visit)
    before = signal.signal(signal.SIGALRM, over)
    signal.setitimer(signal.ITIMER_REAL, 0.3)
    try:
        tasks.send_due()
    finally:
        signal.signal(signal.SIGALRM, before)
    for row in (message, other):
        row.refresh_from_db()
    assert (message.trouble, message.perhaps_twice, message.in_hand) == (tasks.TOO_SLOW, True, False)
    assert other.tries == 0


def test_the_limits_leave_room_for_each_other():
    """An answer may take its time-out; then the task is over; then a message whose sender was killed goes again."""
    assert tasks.SEND_FOR_S + LONGEST_TIMEOUT_S < tasks.SEND_SOFT_LIMIT_S < tasks.SEND_LIMIT_S
    assert tasks.send_due.soft_time_limit == tasks.SEND_SOFT_LIMIT_S
    assert tasks.send_due.time_limit == tasks.SEND_LIMIT_S
    assert timedelta(seconds=tasks.SEND_LIMIT_S) < messages.LEASE
    app.loader.import_default_modules()
    own = [task.time_limit or app.conf.task_time_limit for name, task in app.tasks.items() if "celery" not in name]
    assert len(own) > 10
    assert all(own)


@pytest.mark.django_db
def test_while_one_sends_for_a_folder_another_returns_at_once(visit, box, settings, tmp_path):
    settings.DATA = tmp_path
    message = write(visit)
    with alone(tmp_path / "sending.lock"):
        tasks.send_due()
    message.refresh_from_db()
    assert message.tries == 0
    tasks.send_due()
    assert len(box.mails) == 1


@pytest.mark.django_db
@pytest.mark.parametrize("is_away", [False, True])
def test_what_is_left_when_a_run_is_over_wakes_the_next_unless_nothing_would_go(visit, box, monkeypatch, is_away):
    """Whoever came meanwhile was told that somebody sends already."""
    names = []
    monkeypatch.setattr(tasks, "wake", names.append)
    monkeypatch.setattr(tasks, "SEND_FOR_S", 3600 if is_away else 0)
    box.answers.update({GREETING: "421 too many"} if is_away else {})
    write(visit)
    write(visit)
    tasks.send_due()
    assert names == ([] if is_away else [messages.SEND_DUE])


@pytest.mark.django_db
def test_an_address_with_a_line_break_sends_no_second_header(visit, box):
    message = write(visit, to="a@example.org\nBcc: b@example.org")
    tasks.send_due()
    message.refresh_from_db()
    assert box.mails == []
    assert message.tries == MOST_TRIES


@pytest.mark.django_db
def test_counts_of_tries_are_swept_after_a_day():
    attempts.tried("wrong-password", key="old", now=timezone.now())
    Attempt.objects.update(at=timezone.now() - timedelta(days=1, minutes=1))
    attempts.tried("wrong-password", key="new", now=timezone.now())
    tasks.free_lapsed_holds()
    assert [row.key for row in Attempt.objects.all()] == ["new"]


@pytest.mark.django_db
def test_a_garage_that_is_not_set_up_yet_frees_nothing():
    tasks.free_unpaid()
    make.shop(deposit_frees_after_days=1, quiet_from=time(0), quiet_until=time(0))
    day = timezone.now().date() - timedelta(days=9)
    visit = make.visit(state="deposit-awaited", deposit=30, deposit_due_on=day)
    tasks.free_unpaid()
    visit.refresh_from_db()
    assert visit.state == "called-off"


@pytest.mark.django_db
def test_the_beat_asks_for_the_days_backup_and_why_it_failed_is_kept(settings, tmp_path):
    make.shop()
    settings.DATA, settings.BACKUPS = tmp_path, tmp_path / "a file"
    settings.BACKUPS.touch()
    planned = {entry["task"]: entry["schedule"] for entry in app.conf.beat_schedule.values()}
    assert planned[tasks.back_up.name] <= 3600
    tasks.back_up()
    assert failure() is not None
