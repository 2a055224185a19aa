"""Fix first and the ring list."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.core.mail.mail_tries import MOST_TRIES
from garage.models.messages import Message
from garage.models.visits import Visit
from garage.reads.messages import WARNING
from tests.factories import garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    garage.shop()
    client.force_login(garage.front_desk())
    return client


def test_a_visit_to_be_put_right_is_listed_under_fix_first(desk):
    visit = garage.visit(route="fix-first", bench_minutes=40)
    assert reverse("visit", args=[visit.number]) in desk.get(reverse("fix-first")).text


def test_an_owner_who_was_rung_leaves_the_list_with_what_was_said(desk):
    visit = garage.visit(to_ask=["How old is the plug?"])
    assert "How old is the plug?" in desk.get(reverse("ring-list")).text
    done = reverse("ring-list-done", args=[visit.number])
    answer = desk.post(done, {"what_was_said": "New this spring."}, follow=True)
    assert answer.redirect_chain == [(reverse("ring-list"), 302)]
    assert "How old is the plug?" not in answer.text
    assert visit.trail.filter(detail__what_was_said="New this spring.").exists()
    shown = " ".join(desk.get(reverse("visit", args=[visit.number])).text.split())
    assert "the owner was rung: “New this spring.”" in shown


def test_nothing_said_is_refused_in_one_sentence_and_it_stays_on_the_list(desk):
    visit = garage.visit(to_ask=["How old is the plug?"])
    done = reverse("ring-list-done", args=[visit.number])
    for empty in ("", "   "):
        answer = desk.post(done, {"what_was_said": empty})
        assert answer.status_code == 422
        assert answer.text.count("Write down what was said, or tap “Nobody answered”: then it stays on the list.") == 1
    assert "How old is the plug?" in answer.text
    assert Visit.objects.get().rung_at is None


def test_nobody_answered_is_one_tap_keeps_it_on_the_list_and_says_when(desk):
    visit = garage.visit(to_ask=["How old is the plug?"])
    assert "<b>Nobody answered</b>" not in desk.get(reverse("ring-list")).text
    answer = desk.post(reverse("ring-list-nobody", args=[visit.number]), follow=True)
    assert answer.redirect_chain == [(f"{reverse('ring-list')}#ring-{visit.number}", 302)]
    assert "<b>Nobody answered</b>" in answer.text
    assert "How old is the plug?" in answer.text
    assert "rung, and nobody answered" in desk.get(reverse("visit", args=[visit.number])).text


def test_a_second_call_or_too_long_a_note_is_refused_and_what_was_typed_is_kept(desk):
    visit = garage.visit(to_ask=["How old is the plug?"])
    done = reverse("ring-list-done", args=[visit.number])
    long = desk.post(done, {"what_was_said": "x" * 2001})
    assert long.status_code == 422
    assert "x" * 2001 in long.text
    assert Visit.objects.get().rung_at is None
    desk.post(done, {"what_was_said": "New this spring."})
    again = desk.post(done, {"what_was_said": "New this spring."})
    assert again.status_code == 409
    assert "is not on the ring list any more" in again.text
    nobody = desk.post(reverse("ring-list-nobody", args=[visit.number]), follow=True)
    assert "is not on the ring list any more" in nobody.text


def unreached(visit, **given):
    values = {"what": "visit_booked", "to": "", "subject": "Set-up booked", "text": "Words", "tries": MOST_TRIES}
    values |= {"visit": visit, "written_at": timezone.now(), "due_at": timezone.now(), "trouble": "No email address."}
    return Message.objects.create(**values | given)


def test_what_did_not_reach_its_owner_is_to_be_texted_or_rung_until_it_is_done(desk):
    visit = garage.visit()
    message = unreached(visit)
    said = desk.get(reverse("ring-list")).text
    assert "To text or ring today" in said
    assert "<b>No email address.</b>" in said
    assert "sms:+447700900123?body=Quarry%20Lane%20Rolling%20Road%3A%20Set-up%20booked." in said
    answer = desk.post(reverse("sent-told", args=[message.pk]), follow=True)
    assert answer.redirect_chain == [(f"{reverse('ring-list')}#to-tell", 302)]
    assert "Told: Set-up booked." in answer.text
    assert "To text or ring today" not in answer.text
    assert "told by telephone" in desk.get(reverse("visit", args=[visit.number])).text


def test_a_warning_that_nobody_read_stands_above_all_and_says_so_in_the_words_to_text(desk):
    garage.visit(to_ask=["How old is the plug?"])
    unreached(garage.visit(must_not_run=["It has nipped up."]), what=WARNING, subject="Please do not run it hard")
    said = desk.get(reverse("ring-list")).text
    assert "Please do not start or ride it." in said
    assert said.index("Please do not run it hard") < said.index("How old is the plug?")


def test_of_several_warnings_about_a_machine_the_last_one_stands_and_settles_all(desk):
    visit, now = garage.visit(must_not_run=["It has nipped up."]), timezone.now()
    unreached(visit, what=WARNING, subject="First", written_at=now - timedelta(hours=1))
    last = unreached(visit, what=WARNING, subject="Second", written_at=now)
    said = desk.get(reverse("ring-list")).text
    assert "Second" in said
    assert "First" not in said
    answer = desk.post(reverse("sent-told", args=[last.pk]), follow=True)
    assert "Nobody to ring." in answer.text


def test_a_number_that_cannot_be_rung_is_shown_as_it_is(desk):
    unreached(garage.visit(machine=garage.machine(owner=garage.owner(telephone="ask at the club"))))
    said = desk.get(reverse("ring-list")).text
    assert "No number that can be rung: ask at the club" in said
    assert 'href="tel:"' not in said
    assert "sms:" not in said


def test_a_note_that_is_too_long_stays_in_its_field_with_what_is_allowed(desk):
    visit, said = garage.visit(to_ask=["How old is the plug?"]), "It is ours. " * 167
    answer = desk.post(reverse("ring-list-done", args=[visit.number]), {"what_was_said": said})
    assert answer.status_code == 422
    assert "at most 2000 characters" in answer.text
    assert said.strip() in answer.text
