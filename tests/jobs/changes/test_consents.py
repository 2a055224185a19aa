from __future__ import annotations

import hashlib
import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.utils import timezone
from PIL import Image

from garage.changes.visit import photos
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.messages import Message
from garage.models.trail import TrailRow
from garage.models.visits import Photo, Visit
from jobs.changes import closing, consents, invoices
from jobs.models.consents import AboveAgreed, Consent
from jobs.reads.consents import asked_of
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
BIG = Decimal("400.00")  # pounds, above every limit here


@pytest.fixture
def visit():
    return jobs.card(by=garage.boss()).visit


@pytest.fixture
def by(visit):
    return visit.card.opened_by


def ask(visit, by, **given):
    values = {"words": "The chain is worn. A new one, fitted.", "price": Decimal("85.00"), "now": timezone.now()}
    return consents.ask(visit, by=by, **values | given)


def upload():
    kept = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(kept, "JPEG")
    return SimpleUploadedFile("chain.jpg", kept.getvalue(), "image/jpeg")


def done(visit):
    """A closed card as the invoice takes it."""
    closing.close_with_nothing_wrong(visit, by=visit.card.opened_by, now=timezone.now())
    return Visit.objects.get(pk=visit.pk)


def test_an_owner_is_asked_by_mail_with_price_words_and_a_link(visit, by):
    consent = ask(visit, by)
    mail = Message.objects.get(visit=visit, what="may_we_do_more")
    assert "The chain is worn" in mail.text
    assert "£85.00" in mail.text
    assert f"/asked/{consent.pk}/" in mail.text
    assert TrailRow.objects.filter(visit=visit, did__startswith="asked the owner, £85.00: The chain").exists()


def test_at_night_the_mail_waits_for_the_morning(visit, by):
    at_night = timezone.now().replace(hour=23, minute=30)
    ask(visit, by, now=at_night)
    assert Message.objects.get(what="may_we_do_more").due_at > at_night + timedelta(hours=4)


def test_photos_of_the_visit_and_one_taken_now_are_shown_and_stay(visit, by):
    first = photos.add(visit, photo=upload(), taken_for="card", words="Hooked teeth", by=by, now=timezone.now())
    consent = ask(visit, by, photos=[first.pk], photo=upload())
    assert [shown["words"] for shown in consent.photos] == ["Hooked teeth", ""]
    with first.file.open() as kept:
        assert consent.photos[0]["sha256"] == hashlib.sha256(kept.read()).hexdigest()
    for photo in Photo.objects.filter(visit=visit):
        with pytest.raises(Refused, match="so it stays"):
            photos.take_away(photo, by=by, now=timezone.now())


def test_a_photo_of_another_visit_is_not_shown(visit, by):
    other = jobs.card(by=by).visit
    photo = photos.add(other, photo=upload(), taken_for="card", words="", by=by, now=timezone.now())
    with pytest.raises(BadInput, match="photos of this visit"):
        ask(visit, by, photos=[photo.pk])
    assert not asked_of(visit)


@pytest.mark.parametrize("given", [{"words": " "}, {"words": "x" * 1001}, {"price": Decimal(-1)}])
def test_what_cannot_be_asked_is_refused_and_nobody_is_mailed(visit, by, given):
    with pytest.raises(BadInput):
        ask(visit, by, **given)
    assert not asked_of(visit)
    assert not Message.objects.filter(what="may_we_do_more").exists()


def test_a_yes_by_the_owner_stands_once_and_a_no_after_it_is_refused(visit, by):
    consent = ask(visit, by)
    for _ in range(2):
        consents.answer_by_owner(consent, answer="yes", now=timezone.now())
    with pytest.raises(Refused, match="answered already: yes"):
        consents.answer_by_owner(consent, answer="no", now=timezone.now())
    assert TrailRow.objects.filter(visit=visit, did__startswith="the owner said yes to £85.00").count() == 1


def test_an_answer_on_the_telephone_keeps_who_heard_it_and_when(visit, by):
    asked_at, mechanic = timezone.now() - timedelta(hours=2), garage.person(first_name="Al")
    consent, heard_at = ask(visit, by, now=asked_at), timezone.now() - timedelta(minutes=20)
    said = {"answer": "no", "heard_by": mechanic, "by": by, "now": timezone.now()}
    with pytest.raises(BadInput, match="after it was asked"):
        consents.answer_by_phone(consent, heard_at=asked_at - timedelta(minutes=1), **said)
    consents.answer_by_phone(consent, heard_at=heard_at, **said)
    consent.refresh_from_db()
    assert (consent.answer, consent.answered_at, consent.heard_by) == ("no", heard_at, mechanic)
    assert TrailRow.objects.filter(did__startswith="the owner said no, heard by Al on the telephone").exists()


def test_an_answer_in_the_minute_of_asking_is_taken_though_the_minute_began_before(visit, by):
    now = timezone.now().replace(second=30)
    consent = ask(visit, by, now=now - timedelta(seconds=10))
    said = {"heard_by": by, "heard_at": now.replace(second=0, microsecond=0), "by": by, "now": now}
    consents.answer_by_phone(consent, answer="yes", **said)
    assert Consent.objects.get().answered_at == consent.asked_at


def test_a_new_price_asks_anew_and_the_old_request_takes_no_answer_but_stays(visit, by):
    old = ask(visit, by)
    new = consents.ask_anew(old, words="The chain, and the sprocket.", price=BIG, by=by, now=timezone.now())
    with pytest.raises(Refused, match="asked anew"):
        consents.answer_by_owner(old, answer="yes", now=timezone.now())
    consents.answer_by_owner(new, answer="yes", now=timezone.now())
    assert [(one.price, one.answer) for one in asked_of(visit)] == [(Decimal("85.00"), ""), (BIG, "yes")]
    with pytest.raises(Refused, match="answered already"):
        consents.ask_anew(new, words="More", price=BIG, by=by, now=timezone.now())


def test_what_was_shown_is_frozen_in_the_database(visit, by):
    consent = ask(visit, by)
    for change in ({"words": "x"}, {"price": 1}, {"photos": [1]}):
        with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
            Consent.objects.filter(pk=consent.pk).update(**change)
    consents.answer_by_owner(consent, answer="yes", now=timezone.now())
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        Consent.objects.filter(pk=consent.pk).update(answer="no")
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        Consent.objects.filter(pk=consent.pk)._raw_delete("default")


def test_what_is_open_lapses_with_the_card_and_an_answer_comes_too_late(visit, by):
    consent, said = ask(visit, by), ask(visit, by, words="And a link")
    consents.answer_by_owner(said, answer="no", now=timezone.now())
    done(visit)
    assert [one.answer for one in asked_of(visit)] == ["lapsed", "no"]
    with pytest.raises(Refused, match="is over"):
        consents.answer_by_owner(consent, answer="yes", now=timezone.now())


def test_of_a_visit_that_is_over_nothing_is_answered_though_its_card_stayed_open(visit, by):
    consent = ask(visit, by)
    Visit.objects.filter(pk=visit.pk).update(state=states.COLLECTED)
    with pytest.raises(Refused, match="is over"):
        consents.answer_by_owner(consent, answer="yes", now=timezone.now())


def test_an_invoice_above_what_was_agreed_is_not_issued_until_there_is_a_yes(visit, by):
    visit.bench_limit_pounds = 10
    visit.save()
    consent = ask(visit, by, price=BIG)
    jobs.part(visit.card, price_each=BIG)
    consents.answer_by_owner(consent, answer="yes", now=timezone.now())
    assert invoices.issue(done(visit), by=by, now=timezone.now()).gross == BIG


@pytest.mark.parametrize("answer", ["no", ""])
def test_without_a_yes_it_is_issued_only_once_a_person_lets_it_through(visit, by, answer):
    visit.bench_limit_pounds = 10
    visit.save()
    consent = ask(visit, by, price=BIG)
    if answer:
        consents.answer_by_owner(consent, answer=answer, now=timezone.now())
    jobs.part(visit.card, price_each=BIG)
    closed = done(visit)
    with pytest.raises(Refused, match=r"agreed to £10\.00: £390\.00 more"):
        invoices.issue(closed, by=by, now=timezone.now())
    with pytest.raises(BadInput, match="Why"):
        consents.let_through(closed, why=" ", by=by, now=timezone.now())
    consents.let_through(closed, why="Said yes at the counter.", by=by, now=timezone.now())
    assert invoices.issue(closed, by=by, now=timezone.now()).gross == BIG
    row = AboveAgreed.objects.get()
    assert (row.why, row.by, row.up_to) == ("Said yes at the counter.", by, BIG)
    assert TrailRow.objects.filter(did__contains="£390.00 above what was agreed: Said yes").exists()
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        AboveAgreed.objects.update(up_to=1)


def test_nobody_lets_through_what_is_within_the_limit_nor_a_mechanic_what_is_not(visit, by):
    jobs.part(visit.card, price_each=Decimal("4.50"))
    closed = done(visit)
    with pytest.raises(Refused, match="issue it"):
        consents.let_through(closed, why="To be safe.", by=by, now=timezone.now())
    with pytest.raises(Refused, match="front desk or the boss"):
        consents.let_through(closed, why="Me.", by=garage.person(), now=timezone.now())
