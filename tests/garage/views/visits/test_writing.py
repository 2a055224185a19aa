import pytest
from django.urls import reverse

from garage.models.messages import Message
from garage.models.owners import Owner

pytestmark = pytest.mark.django_db


def test_a_message_to_the_owner_is_sent_and_kept_with_the_visit(desk, visit):
    address = reverse("visit-write", args=[visit.number])
    assert f"It goes to {visit.owner.email} at once" in desk.get(address).text
    answer = desk.post(address, {"subject": "The pipe", "text": "It came.\n\nBye."}, follow=True)
    assert answer.redirect_chain == [(f"{reverse('visit', args=[visit.number])}#messages-sent", 302)]
    assert "The pipe" in answer.text
    assert Message.objects.get(what="free_text").text.startswith("It came.\n\nBye.\n")


def test_without_an_address_the_words_wait_on_the_ring_list(desk, visit):
    Owner.objects.update(email="")
    address = reverse("visit-write", args=[visit.number])
    assert "the words wait on the ring list" in desk.get(address).text
    answer = desk.post(address, {"subject": "The pipe", "text": "It came."}, follow=True)
    assert answer.redirect_chain == [(f"{reverse('ring-list')}#to-tell", 302)]
    assert "sms:+447700900321?body=It%20came." in answer.text
    assert 'href="tel:+447700900321"' in answer.text


def test_nothing_written_is_refused_and_what_was_typed_stays(desk, visit):
    answer = desk.post(reverse("visit-write", args=[visit.number]), {"subject": "The pipe", "text": "  "})
    assert answer.status_code == 422
    assert 'value="The pipe"' in answer.text
    assert not Message.objects.filter(what="free_text").exists()
