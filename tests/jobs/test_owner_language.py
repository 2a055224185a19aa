"""An owner who reads German, and one who reads Italian: from the booking to the statement, all that is sent."""

from __future__ import annotations

import io
import re
from datetime import datetime
from decimal import Decimal
from hashlib import sha256

import pypdf
import pytest
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from diagnostics.changes.owner_choice import fix_it_yourself
from garage.changes.mail import notices, worded
from garage.changes.people import owners
from garage.changes.visit import visits
from garage.core.text.languages import ENGLISH, GERMAN, ITALIAN
from garage.models.actors import OWNER
from garage.models.messages import Message
from garage.models.people import Person
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from jobs.changes import credit_notes, invoices
from jobs.models.book import Invoice, Paper
from jobs.papers.invoice import invoice_pdf
from jobs.tasks import make_papers
from tests import garbled
from tests.factories import booking, garage, jobs
from tests.factories.diagnostics import FALSE_CEILING, sheet_sent

pytestmark = pytest.mark.django_db

# From memory, as each calendar writes them.
DAYS = {
    GERMAN: "Montag Dienstag Mittwoch Donnerstag Freitag Samstag Sonntag",
    ITALIAN: "lunedì martedì mercoledì giovedì venerdì sabato domenica",
}
MONTHS = {
    GERMAN: "Januar Februar März April Mai Juni Juli August September Oktober November Dezember",
    ITALIAN: "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre novembre dicembre",
}
# Words that neither German nor Italian has, and hardly an English sentence is without. From memory.
ENGLISH_ONLY = re.compile(
    r"(?<![\w-])(?:the|you|yours?|we|ours?|us|is|it|its|and|of|with|for|please|hello|has|have|been|this|that|which|not"
    r"|from|by|at|on|or|if|pay|paid|invoice|estimate|credit|visit|booked|machine|rollers|time|day|page|deposit|work"
    r"|parts?|labour|total|number|owed|to)(?![\w-])",
    re.IGNORECASE,
)
SHOP = {
    "name": "Prüfstand Steinbruch",
    "country": "DE",
    "currency": "EUR",
    "tax_name": "USt",
    "vat_number": "DE136695976",
    "bank_account": "DE33100205000001194700",
    "payment_words": "",
    "cancel_words": "",
    "fix_first_acts_alone": True,
    "choose_hours": 24,
}
TITLES = {
    GERMAN: ("Kostenvoranschlag", "Rechnung", "Gutschrift (Rechnungskorrektur)", "Kontoübersicht"),
    ITALIAN: ("Preventivo", "Fattura", "Nota di credito", "Estratto conto"),
}


def in_the_calendar(at: datetime, language: str) -> str:
    local = at.astimezone(booking.LONDON)
    weekday, month = DAYS[language].split()[local.weekday()], MONTHS[language].split()[local.month - 1]
    return f"{weekday}, {local.day}. {month}" if language == GERMAN else f"{weekday} {local.day} {month}"


def spaced(text: str) -> str:
    return " ".join(text.split())


def english_left(text: str) -> list[str]:
    return ENGLISH_ONLY.findall(re.sub(r"\S+@\S+|https?://\S+", " ", text))


def words_of(pdf: bytes) -> str:
    return spaced("\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages))


def fresh(visit: Visit) -> Visit:
    return Visit.objects.select_related("owner", "machine__kind", "kind").get(pk=visit.pk)


def booked(language: str, **shop: object) -> Visit:
    garage.shop(**SHOP | shop)
    garage.person()
    kind = garage.visit_kind(name="Power-Check", price=Decimal("1120.00"), deposit=Decimal("30.00"))
    at = booking.at_local(booking.workday(ahead=5), 10)
    visit = booking.booked(kind, at, language=language, name="Kim", wants="Kerze nass")
    visit.machine.kind = garage.machine_kind()
    visit.machine.save()
    return visit


def invoiced(visit: Visit) -> Invoice:
    """Its card has one part, and is closed."""
    Visit.objects.filter(pk=visit.pk).update(state="here", arrived_at=timezone.now())
    card = jobs.closed_card(visit=fresh(visit))
    jobs.part(card, words="Hauptdüse 98", quantity=Decimal(1), price_each=Decimal("112.50"))
    return invoices.issue(fresh(visit), was_held=False, by=garage.boss(), now=timezone.now())


def credited(invoice: Invoice, *, by: Person) -> Invoice:
    amounts = {1: Decimal("50.00")}
    return credit_notes.credit(invoice, amounts=amounts, how="later", why="Kulanz.", by=by, now=timezone.now())


def check_sent(language: str) -> dict[str, Message]:
    """All that was written has no English left, in subject, text and picture of it. By what it is."""
    found = {message.what: message for message in Message.objects.order_by("pk")}
    for what, message in found.items():
        assert message.language == language, what
        html = [text for text in garbled.texts_of(message.html) if text.strip()]
        assert f'<html lang="{language}">' in message.html
        left = {part: english_left(part) for part in (message.subject, message.text, *html)}
        assert {part: words for part, words in left.items() if words} == {}, what
    return found


@pytest.mark.parametrize("language", [GERMAN, ITALIAN])
def test_from_the_booking_to_the_new_time_each_mail_is_in_its_owners_language(language):
    visit, now = booked(language), timezone.now()
    when = in_the_calendar(visit.starts_at, language)
    sheet_sent(visit, FALSE_CEILING)
    notices.moved(fresh(visit), the_shop(), now=now)
    notices.time_given(fresh(visit), the_shop(), now=now)
    notices.did_not_come(fresh(visit), the_shop(), before=visit.starts_at, now=now)
    notices.ready_to_collect(fresh(visit), the_shop(), now=now)
    notices.deposit_came(fresh(visit), the_shop(), amount=Decimal("1250.50"), now=now)
    found = check_sent(language)
    visits.put_off(fresh(visit), why="Eine Rolle steht.", by=garage.boss(), now=now)
    visits.call_off(fresh(visit), why="", by=garage.boss(), now=now)
    found |= check_sent(language)  # a later time takes the place of those not sent yet
    assert found.keys() >= {"visit_booked", "sheet_outcome_fix_first", "put_off", "visit_moved", "visit_time_given"}
    assert found.keys() >= {"did_not_come", "ready_to_collect", "deposit_came", "visit_called_off"}
    for what in ("visit_booked", "put_off", "did_not_come"):
        assert when in spaced(found[what].text), what
        assert when in spaced(" ".join(garbled.texts_of(found[what].html))), what
    assert "1.250,50 €" in spaced(found["deposit_came"].text)
    assert "1.120,00 €" in spaced(found["visit_booked"].text)
    diary = Calendar.from_ical(bytes(found["visit_booked"].enclosures.get().content)).walk("VEVENT")[0]
    assert english_left(f"{diary['SUMMARY']} {diary['DESCRIPTION']}") == []


@pytest.mark.parametrize("language", [GERMAN, ITALIAN])
def test_who_mends_it_at_home_is_led_to_the_guides_by_their_names(language):
    visit = booked(language)
    sheet_sent(visit, FALSE_CEILING)
    fix_it_yourself(fresh(visit), by=OWNER, now=timezone.now())
    mail = check_sent(language)["to_fix_at_home"]
    path = reverse("guide", args=["plug-cap-lead"])
    title = {GERMAN: "Kerze, Stecker und Kabel", ITALIAN: "Candela, cappuccio e cavo"}[language]
    assert re.search(rf"- {title}: \S+{path}$", mail.text, re.MULTILINE)
    assert re.search(rf'<a href="\S+{path}">{title}</a>', mail.html)


@pytest.mark.parametrize("language", [GERMAN, ITALIAN])
def test_estimate_invoice_credit_note_and_statement_are_in_its_owners_language(language, client):
    visit, boss = booked(language), garage.boss()
    Visit.objects.filter(pk=visit.pk).update(state="here", arrived_at=timezone.now())
    line = jobs.estimate_line(words="Kurbelwellendichtringe", quantity=Decimal("25.50"))
    jobs.estimate(fresh(visit), lines=[line], by=boss)
    invoice = invoiced(visit)
    make_papers()
    note = credited(invoice, by=boss)
    make_papers()
    found = check_sent(language)
    assert found.keys() >= {"estimate_issued", "invoice_issued", "invoice_credited"}
    assert "1.377,00 €" in spaced(found["estimate_issued"].text)
    assert "112,50 €" in spaced(found["invoice_issued"].text)
    client.force_login(boss)
    papers = [
        client.get(reverse("estimate-pdf", args=[1])).content,
        invoice_pdf(invoice),
        invoice_pdf(note),
        client.get(reverse("owner-statement-pdf", args=[visit.owner_id])).content,
    ]
    for title, paper in zip(TITLES[language], map(words_of, papers), strict=True):
        assert title in paper
        assert "USt" in paper or title == TITLES[language][-1]
        assert english_left(paper) == [], title
    assert "112,50 €" in words_of(papers[1])
    assert in_the_calendar(invoice.issued_at, language) in words_of(papers[1])


def test_a_paper_stays_in_the_language_in_which_it_was_issued(client):
    visit, boss = booked(GERMAN), garage.boss()
    invoice = invoiced(visit)
    before = sha256(invoice_pdf(invoice)).hexdigest()
    make_papers()
    owners.speak_with(fresh(visit).owner, language=ENGLISH, by=OWNER, now=timezone.now())
    again = Invoice.objects.get(pk=invoice.pk)
    assert sha256(invoice_pdf(again)).hexdigest() == before == Paper.objects.get(invoice=again).sha256
    note = credited(again, by=boss)
    assert "Gutschrift (Rechnungskorrektur)" in words_of(invoice_pdf(note))  # it stands beside what it corrects
    client.force_login(boss)
    assert "Statement" in words_of(client.get(reverse("owner-statement-pdf", args=[visit.owner_id])).content)


def test_the_workshop_reads_a_german_paper_in_english(client):
    invoice = invoiced(booked(GERMAN))
    client.force_login(garage.boss())
    page = client.get(reverse("invoice", args=[invoice.number]), headers={"Accept-Language": "de"}).text
    assert f"Invoice {invoice.number}" in page
    assert "Rechnung" not in page
    assert not TrailRow.objects.filter(did__icontains="Rechnung").exists()


def test_words_of_the_shops_own_stay_as_they_are_and_the_rest_is_in_the_owners_language():
    visit, boss, now = booked(GERMAN), garage.boss(), timezone.now()
    worded.reword("ready_to_collect", is_on=True, subject="{machine} done", text="Come and get it.", by=boss, now=now)
    notices.ready_to_collect(visit, the_shop(), now=now)
    mail = Message.objects.get(what="ready_to_collect")
    assert (mail.subject, mail.language) == ("Corrick 185 done", GERMAN)
    assert mail.text.startswith("Come and get it.\n")
    assert "Telefon " in mail.text
