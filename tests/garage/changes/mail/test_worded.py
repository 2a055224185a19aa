from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.mail import messages, notices, worded
from garage.changes.mail.messages import Letter
from garage.core.errors import BadInput
from garage.core.mail.wording import DO_NOT_RUN, LONGEST_TEXT, READY, WORDED, BadWording
from garage.models.messages import Message
from garage.models.reminders import Wording
from garage.models.trail import TrailRow
from garage.reads.shop import the_shop
from garage.reads.wordings import FREE, wording_of
from tests.factories import garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    garage.shop()
    return garage.visit(machine=garage.machine(owner=garage.owner(name="Pat <O'Neil>", email="pat@example.org")))


@pytest.fixture
def now():
    """At noon of some day, whatever the hour while the tests run."""
    return timezone.now().replace(hour=12, minute=0, second=0, microsecond=0)


def test_own_words_are_kept_and_noted(visit, now):
    by = garage.boss()
    worded.reword(READY, is_on=True, subject=" Come  and get it ", text="Hello {owner}\r\n", by=by, now=now)
    wording = wording_of(READY)
    assert (wording.subject, wording.text, wording.is_on, wording.is_own) == (
        "Come and get it",
        "Hello {owner}",
        True,
        True,
    )
    check_noted(
        "worded the message “Ready to collect”",
        by=by,
        at=now,
        about="the shop",
        subject="Come and get it",
        text="Hello {owner}",
    )


def test_words_as_delivered_are_not_kept_so_that_better_ones_come_with_a_release(visit, now):
    delivered = WORDED[READY]
    text = delivered.text.replace("\n", "\r\n")  # as a browser sends it
    worded.reword(READY, is_on=False, subject=delivered.subject, text=text, by=garage.boss(), now=now)
    row = Wording.objects.get()
    assert (row.subject, row.text, row.is_on) == ("", "", False)
    assert wording_of(READY).text == delivered.text
    assert TrailRow.objects.get().did == "switched off the message “Ready to collect”"


def test_words_that_cannot_be_used_change_nothing(visit, now):
    with pytest.raises(BadWording, match=r"\{when\}, which is no placeholder"):
        worded.reword(READY, is_on=True, subject="Ready", text="{when}", by=garage.boss(), now=now)
    assert not Wording.objects.exists()


def test_ready_to_collect_is_told_at_once_by_day_and_in_the_morning_at_night(visit, now):
    shop = the_shop()
    notices.ready_to_collect(visit, shop, now=now)
    assert Message.objects.get().due_at == now
    night = now.replace(hour=22)
    notices.ready_to_collect(visit, shop, now=night)
    due = shop.local_time.shown(Message.objects.get(written_at=night).due_at)
    assert (due.hour, due.minute, due.date()) == (8, 0, (now + timedelta(days=1)).date())


def test_a_reminder_that_was_not_taken_in_the_evening_is_not_tried_again_at_night(visit, now):
    evening = the_shop().local_time.at_minute(now.date(), 19 * 60 + 58)
    words = Letter("Ready", "Text", "<p>Text</p>")
    for what, hour, minute in ((READY, 8, 0), ("visit_booked", 20, 3)):
        message = messages.keep(what, words, to="pat@example.org", visit=visit, now=evening)
        message.tries = 2
        messages.mark_not_sent(message, why="Cannot be reached.", for_good=False, at=evening)
        due = the_shop().local_time.shown(message.due_at)
        assert (due.hour, due.minute) == (hour, minute)


def test_ready_to_collect_can_be_switched_off(visit, now):
    Wording.objects.create(what=READY, is_on=False)
    notices.ready_to_collect(visit, the_shop(), now=now)
    assert not Message.objects.exists()


def test_what_a_person_writes_goes_to_the_owner_and_is_kept_and_noted(visit, now):
    by = garage.front_desk()
    message = worded.write_freely(visit, subject="The  pipe", text="It came.\n\nSee you <then> & bye.", by=by, now=now)
    assert (message.what, message.to, message.visit, message.subject) == (FREE, "pat@example.org", visit, "The pipe")
    assert message.text.startswith("It came.\n\nSee you <then> & bye.\n\n--\nQuarry Lane Rolling Road")
    assert "<p>See you &lt;then&gt; &amp; bye.</p>" in message.html
    check_noted("wrote to the owner: The pipe", by=by, at=now, visit=visit)


def test_nothing_a_person_writes_is_taken_for_a_placeholder_or_a_template(visit, now):
    message = worded.write_freely(visit, subject="{owner}", text="{{ visit }} {owner}", by=garage.boss(), now=now)
    assert message.subject == "{owner}"
    assert message.text.startswith("{{ visit }} {owner}\n")


def test_empty_and_endless_words_are_refused(visit, now):
    with refuses("Text is missing; allowed is a few words.", BadInput):
        worded.write_freely(visit, subject="A", text=" ", by=garage.boss(), now=now)
    with refuses("Text is '3001 characters'; allowed is at most 3000.", BadInput):
        worded.write_freely(visit, subject="A", text="x" * (LONGEST_TEXT + 1), by=garage.boss(), now=now)
    assert not Message.objects.exists()


def test_whoever_writes_of_a_machine_that_must_not_run_its_owner_reads_so(visit, now):
    visit.must_not_run = ["It has nipped up."]
    visit.save()
    assert DO_NOT_RUN in worded.write_freely(visit, subject="A", text="B", by=garage.boss(), now=now).text


def test_a_look_at_words_writes_nothing(visit):
    letter = worded.letter_in(READY, "For {owner}", "{machine}", visit, the_shop(), more={})
    assert isinstance(letter, Letter)
    assert (letter.subject, letter.text.split("\n")[0]) == ("For Pat <O'Neil>", "Corrick 185")
    assert not Message.objects.exists()
