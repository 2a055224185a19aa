"""The shop's messages: switched off, reworded, looked at with a real visit."""

import pytest
from django.urls import reverse

from garage.core.mail.reminders import DAY_BEFORE, INVOICE_DUE, SHEET_EARLY
from garage.core.mail.wording import READY, WORDED
from garage.models.messages import Message
from garage.models.reminders import Wording
from garage.reads.wordings import wording_of
from jobs.changes import invoices
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


@pytest.fixture
def boss(client):
    garage.shop()
    client.force_login(garage.boss())
    return client


def address(what):
    return reverse("shop-message", args=[what])


def test_every_message_is_listed_with_when_it_goes_out(boss):
    Wording.objects.create(what=READY, is_on=False)
    said = boss.get(reverse("shop-messages")).text
    for what, worded in WORDED.items():
        assert worded.title in said
        assert address(what) in said
    assert said.count("<b>no: switched off</b>") == 2  # and one that is off as delivered


@pytest.mark.parametrize("what", WORDED)
def test_each_is_shown_with_its_words_also_before_there_is_any_visit(boss, what):
    answer = boss.get(address(what))
    assert answer.status_code == 200
    assert "No visit could get this message yet." in answer.text


def test_it_reads_as_a_real_owner_would_get_it(boss):
    visit = garage.visit()
    answer = boss.get(address(SHEET_EARLY))
    assert f"For visit {visit.number}, {visit.owner.name}. This is not sent." in answer.text
    assert "You have not begun the check sheet yet." in answer.text
    assert not Message.objects.exists()


def test_words_can_be_looked_at_before_they_are_saved(boss):
    first, second = garage.visit(), garage.visit()
    words = {"is_on": "on", "subject": "For {owner}", "text": "See you {when}", "visit": first.number, "do": "look"}
    answer = boss.post(address(DAY_BEFORE), words)
    assert answer.status_code == 200
    assert f"<b>For {first.owner.name}</b>" in answer.text
    assert second.owner.name not in answer.text
    assert not Wording.objects.exists()


def test_saved_words_stand_on_the_page(boss):
    words = {"is_on": "on", "subject": "For {owner}", "text": "See you {when}\r\nBye", "do": "save"}
    answer = boss.post(address(DAY_BEFORE), words, follow=True)
    assert "Saved: The visit, the day before." in answer.text
    assert wording_of(DAY_BEFORE).text == "See you {when}\nBye"


def test_a_message_without_its_tick_is_switched_off(boss):
    words = {"subject": WORDED[READY].subject, "text": WORDED[READY].text, "do": "save"}
    assert "It is switched off." in boss.post(address(READY), words, follow=True).text


@pytest.mark.parametrize("do", ["look", "save"])
def test_a_wrong_placeholder_is_said_by_its_field_and_what_was_typed_stays(boss, do):
    garage.visit()
    answer = boss.post(address(DAY_BEFORE), {"subject": "Soon", "text": "See you {wen}", "do": do})
    assert answer.status_code == 422
    assert answer.text.count("The text has {wen}, which is no placeholder of this message") == 1
    assert "See you {wen}</textarea>" in answer.text
    assert "Not shown: see the note by the field." in answer.text


def test_a_visit_that_never_gets_the_message_is_refused_by_number(boss):
    visit = garage.visit()
    words = {"subject": "{invoice}", "text": "{invoice} {to_pay}", "visit": visit.number, "do": "look"}
    answer = boss.post(address(INVOICE_DUE), words)
    assert answer.status_code == 422
    assert (
        f"Visit is {visit.number}; allowed is the number of a visit with an invoice, of a private owner." in answer.text
    )


def test_an_invoice_is_shown_with_its_number_and_what_is_left(boss):
    card = jobs.closed_card()
    jobs.part(card)
    invoice = invoices.issue(card.visit, by=garage.boss(), now=card.closed_at)
    assert (
        f"Of invoice {invoice.number} for your Corrick 185, £4.50 is still to pay."
        in boss.get(address(INVOICE_DUE)).text
    )


def test_the_words_as_delivered_come_back_into_the_form(boss):
    Wording.objects.create(what=READY, subject="Own", text="Own words")
    assert "Own words</textarea>" in boss.get(address(READY)).text
    assert "Own words</textarea>" not in boss.get(f"{address(READY)}?delivered").text


def test_only_the_boss_words_messages_and_only_those_there_are(client, boss):
    assert boss.get(address("fresh_link")).status_code == 404
    client.force_login(garage.front_desk())
    assert client.get(address(READY)).status_code == client.get(reverse("shop-messages")).status_code == 403
