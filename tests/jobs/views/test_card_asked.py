"""More work than was agreed: asked on the card, answered by link or telephone, and the door at issuing."""

from __future__ import annotations

import io
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from garage.changes.visit import photos
from garage.reads import links
from jobs.changes import closing, consents
from jobs.models.consents import AboveAgreed, Consent
from tests.factories import garage, jobs
from tests.forms import keyed

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(client):
    person = garage.boss(first_name="Bess")
    client.force_login(person)
    return person


@pytest.fixture
def visit(by):
    return jobs.card(by=by).visit


def upload():
    kept = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(kept, "JPEG")
    return SimpleUploadedFile("chain.jpg", kept.getvalue(), "image/jpeg")


def asked(visit, by, **given):
    values = {"words": "A new chain, fitted.", "price": Decimal("85.00"), "by": by, "now": timezone.now()}
    return consents.ask(visit, **values | given)


def owners(name, consent, *more):
    return reverse(name, args=[links.token(consent.visit, links.VISIT), consent.pk, *more])


def test_the_card_asks_with_a_photo_taken_now_and_shows_that_it_waits(client, visit):
    typed = keyed(words="A new chain, fitted.", price="85") | {"photo": upload()}
    for _ in range(2):  # a second press
        answer = client.post(reverse("card-ask", args=[visit.number]), typed | {"photo": upload()}, follow=True)
    consent = Consent.objects.get()
    assert len(consent.photos) == 1
    assert "£85.00: A new chain, fitted." in answer.text
    assert "not answered yet" in answer.text


def test_what_cannot_be_asked_keeps_what_was_typed(client, visit):
    answer = client.post(reverse("card-ask", args=[visit.number]), keyed(words="A new chain", price="12,50"))
    assert answer.status_code == 422
    assert "A new chain" in answer.text
    assert not Consent.objects.exists()


def test_the_owner_reads_it_word_for_word_and_says_yes_once(client, visit, by):
    photo = photos.add(visit, photo=upload(), taken_for="card", words="Hooked teeth", by=by, now=timezone.now())
    consent = asked(visit, by, photos=[photo.pk])
    client.logout()
    page = client.get(owners("owner-asked", consent)).text
    assert "A new chain, fitted." in page
    assert "£85.00" in page
    assert "Hooked teeth" in page
    picture = client.get(owners("owner-asked-photo", consent, photo.pk))
    assert b"".join(picture.streaming_content).startswith(b"\xff\xd8")
    assert client.post(owners("owner-asked", consent), {"answer": "yes"}).status_code == 302
    late = client.post(owners("owner-asked", consent), {"answer": "no"})
    assert late.status_code == 409
    assert "answered already: yes" in late.text
    assert "You said yes" in late.text


def test_looking_answers_nothing_and_a_photo_that_was_not_shown_is_not_given(client, visit, by):
    consent = asked(visit, by)
    photo = photos.add(visit, photo=upload(), taken_for="card", words="", by=by, now=timezone.now())
    client.get(owners("owner-asked", consent))
    assert Consent.objects.get().answer == ""
    assert client.get(owners("owner-asked-photo", consent, photo.pk)).status_code == 404


def test_a_link_of_another_visit_opens_nothing(client, visit, by):
    other, consent = jobs.card(by=by).visit, asked(visit, by)
    address = reverse("owner-asked", args=[links.token(other, links.VISIT), consent.pk])
    assert client.get(address).status_code == 404
    assert client.get(reverse("card-asked", args=[other.number, consent.pk])).status_code == 404


def test_who_has_the_old_price_before_them_is_led_to_the_new_one(client, visit, by):
    old = asked(visit, by)
    again = reverse("card-ask-again", args=[visit.number, old.pk])
    assert "A new chain, fitted." in client.get(again).text
    assert client.post(again, keyed(words="Chain and sprocket.", price="140")).status_code == 302
    new = Consent.objects.latest("pk")
    answer = client.post(owners("owner-asked", old), {"answer": "yes"})
    assert answer.status_code == 409
    assert owners("owner-asked", new) in answer.text
    assert "A new chain, fitted." in client.get(reverse("card-asked", args=[visit.number, old.pk])).text
    visits = client.get(reverse("owner-visit", args=[links.token(visit, links.VISIT)])).text
    assert "Chain and sprocket." in visits
    assert "A new chain" not in visits


def test_what_was_heard_on_the_telephone_is_written_down_with_who_and_when(client, visit, by):
    consent, heard = asked(visit, by), garage.person(first_name="Al")
    address = reverse("card-asked", args=[visit.number, consent.pk])
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    assert client.post(address, {"answer": "", "heard_by": heard.pk, "heard_at": now}).status_code == 422
    with_it = {"answer": "yes", "heard_by": heard.pk, "heard_at": timezone.localtime().isoformat()}
    page = client.post(address, with_it, follow=True).text
    assert "heard by Al on the telephone" in page
    assert Consent.objects.get().heard_by == heard


def test_the_card_says_what_is_above_what_was_agreed(client, visit):
    visit.bench_limit_pounds = 50
    visit.save()
    jobs.part(visit.card, price_each=Decimal("60.00"))
    page = client.get(reverse("card", args=[visit.number])).text
    assert "£10.00 above what was agreed." in page
    jobs.labour(visit.card, minutes=60)
    assert "£55.00 above what was agreed." in client.get(reverse("card", args=[visit.number])).text


def test_an_invoice_above_it_is_not_offered_until_somebody_says_why(client, visit, by):
    visit.bench_limit_pounds = 50
    visit.save()
    jobs.part(visit.card, price_each=Decimal("60.00"))
    closing.close_with_nothing_wrong(visit, by=by, now=timezone.now())
    issue, above = reverse("invoice-issue", args=[visit.number]), reverse("invoice-above", args=[visit.number])
    page = client.get(issue).text
    assert "£10.00 more. Ask the owner" in page
    assert above in page
    assert "Issue the invoice</button>" not in page
    refused = client.post(issue, keyed(do="issue", buyer_address="Mill Row"))
    assert refused.status_code == 409
    assert client.post(above, keyed(why="")).status_code == 422
    assert "Issue the invoice</button>" in client.post(above, keyed(why="Agreed at the counter."), follow=True).text
    assert AboveAgreed.objects.get().by == by


def test_a_mechanic_lets_nothing_through(client, visit):
    client.force_login(garage.person())
    assert client.get(reverse("invoice-above", args=[visit.number])).status_code == 403


def test_what_a_photo_shows_stands_below_it_and_one_that_was_shown_is_not_offered_for_deleting(client, visit, by):
    kept, shown = (
        photos.add(visit, photo=upload(), taken_for="card", words=words, by=by, now=timezone.now())
        for words in ("Left side", "Hooked teeth")
    )
    asked(visit, by, photos=[shown.pk])
    page = client.get(reverse("card", args=[visit.number])).text
    assert '<p class="caption">Hooked teeth</p>' in page
    assert reverse("photo-delete", args=[kept.pk]) in page
    assert reverse("photo-delete", args=[shown.pk]) not in page
