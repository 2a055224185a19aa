"""Extra work at a price: the owner is asked, and says yes or no, by the personal link or on the telephone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from garage.changes import trail
from garage.changes.day import ring
from garage.changes.day.locks import visit_for_change
from garage.changes.mail import messages
from garage.changes.visit import photos
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.money import MOST, pounds_words
from garage.core.text.languages import in_english
from garage.models.actors import OWNER, Actor
from garage.models.people import Person
from garage.models.shop import Shop
from garage.models.visits import Photo, Visit
from garage.output.addresses import asked_address
from garage.reads import links
from garage.reads.shop import the_shop
from jobs.changes import cards
from jobs.core.billing.agreed import LONGEST_ASKED, LONGEST_WHY, said_at, why_not_answer
from jobs.models.consents import AboveAgreed, Consent
from jobs.reads import to_invoice
from jobs.reads.access import card_of, invoice_of
from jobs.reads.consents import agreed_for, is_card_closed, standing_of, waits_since, why_above_agreed
from jobs.reads.to_invoice import InvoiceDraft

MOST_PHOTOS = 6  # what a phone shows before a price is lost below them; common practice, no source
MAIL = "may_we_do_more"


@transaction.atomic
def ask(
    visit: Visit,
    *,
    words: str,
    price: Decimal,
    photos: Sequence[int] = (),
    photo: UploadedFile[bytes] | None = None,
    by: Person,
    now: datetime,
) -> Consent:
    """price: pounds, VAT included, for all that words say. photos: ids, of the visit's. photo: one that is taken now.

    The owner gets a mail, in quiet hours in the morning, and answers by the link.
    """
    return _asked(visit, words, price, photos, photo, replaces=None, by=by, now=now)


@transaction.atomic
def ask_anew(
    consent: Consent,
    *,
    words: str,
    price: Decimal,
    photos: Sequence[int] = (),
    photo: UploadedFile[bytes] | None = None,
    by: Person,
    now: datetime,
) -> Consent:
    """In place of one that is still open: whoever has it before them can say neither yes nor no to it any more."""
    _open(consent)
    return _asked(consent.visit, words, price, photos, photo, replaces=consent, by=by, now=now)


@transaction.atomic
def answer_by_owner(consent: Consent, *, answer: str, now: datetime) -> None:
    """Answered with the same word twice, it stays answered once."""
    _answered(consent, answer, heard_by=None, at=now, by=OWNER, now=now)


@transaction.atomic
def answer_by_phone(
    consent: Consent, *, answer: str, heard_by: Person, heard_at: datetime, by: Person, now: datetime
) -> None:
    """heard_by: who heard the owner say so, and heard_at: when. by: who writes it down."""
    heard_at = said_at(heard_at, asked_at=consent.asked_at)
    if not consent.asked_at <= heard_at <= now:
        raise BadInput("When", the_shop().local_time.in_words(heard_at), "a time after it was asked, until now")
    _answered(consent, answer, heard_by=heard_by, at=heard_at, by=by, now=now)


def lapse(visit: Visit, *, now: datetime) -> None:
    """What is still asked when the card is closed. Within that change."""
    if Consent.objects.filter(visit=visit, answer="", replaced_by=None).update(answer=Consent.LAPSED, answered_at=now):
        tell_the_desk(visit)


def tell_the_desk(visit: Visit) -> None:
    """Whom to ring: since when an owner has not answered in spite of a reminder. Within the change that moved it."""
    ring.not_answered_since(visit, waits_since(visit))


def check_agreed(visit: Visit, shop: Shop, draft: InvoiceDraft) -> None:
    """Raises Refused for an invoice that comes to more than the owner agreed to and nobody let through."""
    gross = draft.totals.gross if draft.totals else Decimal(0)
    if why := why_above_agreed(visit, shop, draft, gross):
        raise Refused(why)


@transaction.atomic
def let_through(visit: Visit, *, why: str, was_held: bool | None = None, by: Person, now: datetime) -> AboveAgreed:
    """The invoice may come to what it comes to now, whatever was agreed. More than that asks again."""
    visit, why, shop = visit_for_change(visit), why.strip(), the_shop()
    if issued := invoice_of(visit):
        raise Refused(f"Visit {visit.number} already has an invoice: number {issued.number}.")
    if not by.handles_money:
        raise Refused("Only the front desk or the boss lets an invoice go above what was agreed.")
    if not why or len(why) > LONGEST_WHY:
        raise BadInput("Why", why or None, f"a few words, at most {LONGEST_WHY} characters")
    draft = to_invoice.draft(visit, card_of(visit), shop, was_held=was_held)
    agreed, gross = agreed_for(visit, shop, draft), draft.totals.gross if draft.totals else Decimal(0)
    if not agreed.why_not_issue(gross):
        raise Refused("The invoice does not come to more than was agreed: issue it.")
    row = AboveAgreed.objects.create(visit=visit, up_to=gross - agreed.booked, why=why, at=now, by=by)
    said = f"let the invoice come to {pounds_words(gross)}, {pounds_words(agreed.above(gross))} above what was agreed"
    trail.about_visit(visit, f"{said}: {why}", by=by, now=now, why=why)
    return row


def _asked(
    visit: Visit,
    words: str,
    price: Decimal,
    photo_ids: Sequence[int],
    photo: UploadedFile[bytes] | None,
    *,
    replaces: Consent | None,
    by: Person,
    now: datetime,
) -> Consent:
    words = _checked(words, price)
    visit = cards.opened(visit, by=by, now=now).visit
    chosen = _chosen(visit, photo_ids)
    if photo:
        chosen += [photos.add(visit, photo=photo, taken_for="card", words="", by=by, now=now)]
    if len(chosen) > MOST_PHOTOS:
        raise BadInput("Photos", len(chosen), f"at most {MOST_PHOTOS}")
    shown = [{"id": row.pk, "sha256": photos.sha256_of(row), "words": row.words} for row in chosen]
    consent = Consent.objects.create(
        visit=visit, words=words, price=price, photos=shown, asked_at=now, asked_by=by, replaces=replaces
    )
    photos.shown(chosen, now=now)
    if replaces:
        tell_the_desk(visit)
    _mail(consent, visit, now)
    did = f"asked the owner anew, {pounds_words(price)}" if replaces else f"asked the owner, {pounds_words(price)}"
    trail.about_visit(visit, f"{did}: {words}", by=by, now=now, consent=consent.pk)
    return consent


def _checked(words: str, price: Decimal) -> str:
    words = words.replace("\r\n", "\n").strip()
    if not words or len(words) > LONGEST_ASKED:
        raise BadInput("What is to be done", words or None, f"a sentence or two, at most {LONGEST_ASKED:,} characters")
    if not 0 <= price <= MOST:
        raise BadInput("Price", price, f"0 to {pounds_words(MOST)}")
    return words


def _chosen(visit: Visit, photo_ids: Sequence[int]) -> list[Photo]:
    """In the order in which they were taken."""
    found = list(Photo.objects.filter(visit=visit, pk__in=photo_ids))
    if len(found) != len(set(photo_ids)):
        raise BadInput("Photos", None, "photos of this visit that are still there: choose again")
    return found


def _mail(consent: Consent, visit: Visit, now: datetime) -> None:
    shop = the_shop()
    url = asked_address(links.token(visit, links.VISIT), consent.pk)
    letter = messages.letter(MAIL, visit=visit, shop=shop, context={"consent": consent, "asked_url": url})
    due_at = shop.quiet_hours.morning_after(now, shop.local_time)
    messages.keep(MAIL, letter, to=visit.owner.email, visit=visit, now=now, due_at=due_at)


def _open(consent: Consent) -> Consent:
    """As it is now, behind the visit's lock. Raises Refused if it takes no answer any more."""
    visit, telephone = visit_for_change(consent.visit), the_shop().telephone
    consent = Consent.objects.select_related("replaced_by").get(pk=consent.pk)
    is_over = visit.state in states.OVER or is_card_closed(visit)
    if why := why_not_answer(visit.number, standing_of(consent, is_over=is_over), telephone):
        raise Refused(why)
    return consent


def _answered(
    consent: Consent, answer: str, *, heard_by: Person | None, at: datetime, by: Actor, now: datetime
) -> None:
    if answer not in {Consent.YES, Consent.NO}:
        raise BadInput("answer", answer, "yes or no")
    visit = visit_for_change(consent.visit)
    if Consent.objects.filter(pk=consent.pk, answer=answer, heard_by=heard_by).exists():
        return
    consent = _open(consent)
    consent.answer, consent.answered_at, consent.heard_by = answer, at, heard_by
    consent.save(update_fields=["answer", "answered_at", "heard_by"])
    tell_the_desk(visit)
    how = f", heard by {heard_by.name} on the telephone" if heard_by else ""
    did = f"the owner said {answer}{how} to {in_english(pounds_words, consent.price)}: {consent.words}"
    trail.about_visit(visit, did, by=by, now=now, consent=consent.pk)
