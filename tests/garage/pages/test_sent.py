"""How far a message is, in words."""

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.core.mail.mail_tries import MOST_TRIES
from garage.models.messages import Message
from garage.pages.sent import SHOWN, sent_page, state_words
from tests.factories import garage

NOW = timezone.now()


@pytest.mark.parametrize(
    ("message", "words"),
    [
        ({"sent_at": NOW, "kept_here": True}, "kept here, no mail server is set"),
        ({"sent_at": NOW}, "sent"),
        ({"sent_at": NOW, "perhaps_twice": True}, "sent, perhaps twice"),
        ({"tries": MOST_TRIES, "in_hand": True, "due_at": NOW + timedelta(seconds=1)}, "being sent"),
        ({"tries": 1, "in_hand": True, "due_at": NOW}, "cut off while it was being sent, goes again"),
        ({"tries": MOST_TRIES, "trouble": "No such address."}, "not sent"),
        ({"tries": MOST_TRIES - 1, "trouble": "The server is away."}, "tried, will be tried again"),
        ({"tries": 0}, "waiting"),
    ],
)
def test_a_message_says_how_far_it_is(message, words):
    assert state_words(Message(**message), now=NOW) == words


@pytest.mark.django_db
def test_what_waits_is_shown_whole_and_of_what_went_out_the_newest():
    visit = garage.visit()
    common = {"visit": visit, "what": "visit_booked", "to": "robin@example.org", "written_at": NOW, "due_at": NOW}
    Message.objects.bulk_create(Message(subject=f"Sent {n}", sent_at=NOW, **common) for n in range(SHOWN + 1))
    Message.objects.create(subject="Waits", **common)
    page = sent_page(now=NOW)
    assert [row.subject for row, _ in page.unsent] == ["Waits"]
    assert len(page.went_out) == SHOWN
    assert page.went_out[0][0].subject == f"Sent {SHOWN}"
