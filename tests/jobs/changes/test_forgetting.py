"""What is past its time goes: what was sent in for a visit, what was mailed, whom invoices were written to."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction
from django.utils import timezone

from diagnostics.changes import causes, learning
from diagnostics.core.learning.counts import count
from diagnostics.core.learning.scores import scores
from diagnostics.core.learning.surprises import faults_seen
from diagnostics.hearing.models.clips import Clip
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.learning import Closing
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.models.unnamed import UnnamedCase
from diagnostics.pages.learned import learned_page
from diagnostics.reads.bank import the_bank
from diagnostics.reads.closed_visits import closed_visits
from diagnostics.reads.learning import closed_cards
from garage.changes import trail
from garage.changes.forgetting import may_forget
from garage.changes.mail import forgetting as mails
from garage.changes.visit import safety
from garage.changes.visit.forgetting import forget, forget_old
from garage.core import states
from garage.core.errors import Refused
from garage.core.keeping.periods import ENCLOSURES, MAILS, SHEETS, invoices_before
from garage.models.actors import SYSTEM
from garage.models.messages import Enclosure, Message
from garage.models.owners import Owner
from garage.models.trail import TrailRow
from garage.models.visits import Photo, SoldPiece, Visit
from jobs.changes import forgetting, invoices
from jobs.models.book import Invoice, InvoiceLine, Paper
from tests.factories import garage, jobs
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY, heard_clip, sheet_sent, visit_to_judge

pytestmark = pytest.mark.django_db
A_YEAR_AND_MORE = timedelta(days=370)


def over(visit, state=states.COLLECTED):
    Visit.objects.filter(pk=visit.pk).update(state=state, collected_at=timezone.now())
    visit.refresh_from_db()
    return visit


def taught(answers, *faults, words=""):
    """A visit that was judged, worked on, closed and collected."""
    SoldPiece.objects.all().delete()
    by, visit = garage.person(), visit_to_judge()
    sheet_sent(visit, answers)
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=timezone.now())
    for fault in faults:
        causes.confirm(visit, fault=fault, by=by, now=timezone.now())
    if words:
        causes.confirm(visit, words=words, by=by, now=timezone.now())
    learning.card_closed(visit, by=by, now=timezone.now())
    return over(visit)


def a_photo(visit):
    row = Photo(visit=visit, taken_for="take-in", at=timezone.now(), by=garage.person())
    row.file.save("x.jpg", ContentFile(b"picture"), save=True)
    return row


def learned():
    bank, visits = the_bank(), closed_visits()
    page = learned_page("spoilt", garage.shop())
    return count(bank, closed_cards()), scores(bank, visits), faults_seen(bank, visits), page.routes, page.balance


def test_what_was_sent_in_goes_a_year_after_the_visit_was_over_and_what_was_done_stays(
    django_capture_on_commit_callbacks,
):
    visit = visit_to_judge()
    heard_clip(visit)
    sheet_sent(visit, HEALTHY)
    clip, photo = Clip.objects.get(), a_photo(visit)
    files = [Path(clip.file.path), Path(photo.file.path)]
    Visit.objects.filter(pk=visit.pk).update(wants="Jet it", owner_remarks=["It leaks."], to_ask=["Does it?"])
    over(visit)
    last_day = visit.collected_at + timedelta(days=364)
    assert not forget_old(now=last_day)
    assert all(file.exists() for file in files)
    with django_capture_on_commit_callbacks(execute=True):
        gone = forget_old(now=last_day + timedelta(days=3))
    assert gone == {"visits": 1, "check sheets": 1, "clips": 1, "photos": 1}
    for model in (Sheet, Finding, KeptJudgement, Clip, Photo):
        assert not model.objects.exists(), model
    assert not any(file.exists() for file in files)
    visit.refresh_from_db()
    assert (visit.wants, visit.owner_remarks, visit.to_ask) == ("", [], [])
    said = TrailRow.objects.get(about="the shop").did
    assert said == f"let go what was sent in {SHEETS.words} ago and before: 1 visit, 1 check sheet, 1 clip, 1 photo"
    assert not forget_old(now=last_day + timedelta(days=3))
    assert TrailRow.objects.filter(about="the shop").count() == 1


def test_what_closed_cards_taught_is_the_same_to_the_last_figure_without_their_sheets():
    for _ in range(2):
        taught(FALSE_CEILING, "spark-module")
    taught(HEALTHY)
    taught(FALSE_CEILING, words="a nest in the airbox")
    back = taught(FALSE_CEILING, "air-leak")
    learning.came_back(back, by=garage.person(), now=timezone.now())
    learning.card_closed(over(jobs.visit_here()), by=garage.person(), now=timezone.now())  # never judged
    before = learned()
    assert before[0].learned == 4
    assert forget_old(now=timezone.now() + A_YEAR_AND_MORE)["visits"] == 6
    assert UnnamedCase.objects.count() == Closing.objects.count() == 6
    assert learned() == before
    assert all(visit.number is None for visit in closed_visits())


def test_an_unnamed_case_has_no_number_and_is_never_changed():
    visit = taught(FALSE_CEILING, "spark-module")
    forget(visit, now=timezone.now())
    assert UnnamedCase.objects.get().case["case"] == "unnamed"
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        UnnamedCase.objects.update(booked="bench")


@pytest.mark.parametrize("state", sorted(set(states.WORDS) - states.OVER))
def test_nothing_of_an_open_visit_goes_however_old_it_is(state):
    visit = visit_to_judge()
    sheet_sent(visit, HEALTHY)
    over(visit, state)
    Message.objects.update(sent_at=timezone.now())
    much_later = timezone.now() + 3 * A_YEAR_AND_MORE
    kept = Message.objects.count()
    assert not forget_old(now=much_later)
    assert not mails.forget_old(now=much_later)
    assert (Sheet.objects.count(), Message.objects.count()) == (1, kept)
    with pytest.raises(Refused, match="nothing of it goes before it is over"):
        forget(visit, now=much_later)


def test_a_card_that_is_open_again_keeps_its_sheet_until_it_is_closed():
    by, visit = garage.person(), taught(FALSE_CEILING, "spark-module")
    learning.card_reopened(visit, by=by, now=timezone.now())
    assert not forget_old(now=timezone.now() + A_YEAR_AND_MORE)
    assert Sheet.objects.exists()
    learning.card_closed(visit, by=by, now=timezone.now())
    assert forget_old(now=timezone.now() + A_YEAR_AND_MORE)["visits"] == 1


def mailed(visit, *, now, sent=True):
    values = {"to": "a@example.org", "subject": "S", "text": "T", "html": "H", "written_at": now, "due_at": now}
    row = Message.objects.create(visit=visit, what="x", sent_at=now if sent else None, **values)
    Enclosure.objects.create(message=row, name="x.ics", content_type="text/calendar", content=b"x")
    return row


def test_enclosures_go_before_their_mails_and_a_safety_warning_stays_as_a_remark():
    visit, now, by = jobs.visit_here(), timezone.now(), garage.person()
    mailed(visit, now=now)
    remark = safety.told_by_mail(visit, words="The rear tyre is worn through.", by=by, now=now)
    over(visit)
    soon, late = now + timedelta(days=100), now + A_YEAR_AND_MORE
    assert ENCLOSURES.before(soon) > now > MAILS.before(soon)
    assert mails.forget_old(now=soon) == {"enclosures": 1}
    assert Message.objects.count() == 2
    assert mails.forget_old(now=late) == {"emails": 2}
    left = Message.objects.get()
    remark.refresh_from_db()
    assert (left, left.to, left.subject, left.text, left.html) == (remark.message, "", "", "", "")
    assert remark.words == "The rear tyre is worn through."
    assert not mails.forget_old(now=late)
    assert not mails.forget_old(now=soon)


def invoiced():
    visit = jobs.visit_here()
    jobs.closed_card(visit=visit)
    invoice = invoices.issue(visit, by=garage.boss(), now=timezone.now(), was_held=True)
    paper = Paper.objects.get(invoice=invoice)
    paper.file.save("invoice.pdf", ContentFile(b"%PDF"), save=True)
    return invoice, paper


def test_whom_an_invoice_was_written_to_goes_after_the_years_of_the_law_and_its_sums_stay(
    django_capture_on_commit_callbacks,
):
    invoice, paper = invoiced()
    lines = list(InvoiceLine.objects.values_list("gross", flat=True))
    sums = (invoice.number, invoice.net, invoice.vat, invoice.gross)
    path = Path(paper.file.path)
    just_before = invoice.issued_at + timedelta(days=7 * 365)
    assert invoices_before(just_before) < invoice.issued_at
    assert not forgetting.forget_old(now=just_before)
    assert path.exists()
    with django_capture_on_commit_callbacks(execute=True):
        gone = forgetting.forget_old(now=just_before + timedelta(days=10))
    assert gone == {"invoices": 1, "papers": 1}
    invoice.refresh_from_db()
    paper.refresh_from_db()
    assert (invoice.buyer, invoice.machine, paper.file.name, path.exists()) == ({}, "", "", False)
    assert sums == (invoice.number, invoice.net, invoice.vat, invoice.gross)
    assert list(InvoiceLine.objects.values_list("gross", flat=True)) == lines
    assert not InvoiceLine.objects.exclude(words="").exists()
    assert not forgetting.forget_old(now=just_before + timedelta(days=10))


def test_an_invoice_without_its_buyer_can_be_opened(client):
    invoice, _ = invoiced()
    forgetting.forget_old(now=invoice.issued_at + timedelta(days=8 * 365))
    client.force_login(garage.boss())
    for address in (f"/invoices/{invoice.number}/", "/the-book/", f"/visits/{invoice.visit.number}/"):
        assert client.get(address).status_code == 200, address


@pytest.mark.parametrize(("field", "value"), [("gross", 1), ("number", 77), ("issued_on", "2020-01-01")])
def test_even_while_forgetting_no_sum_of_an_invoice_changes(field, value):
    invoice, _ = invoiced()
    with pytest.raises(IntegrityError, match="frozen"), may_forget("x", by=SYSTEM, now=timezone.now()):
        Invoice.objects.filter(pk=invoice.pk).update(**{field: value})


def test_outside_of_forgetting_trail_and_invoices_stay_frozen_also_right_after_it():
    invoice, _ = invoiced()
    trail.about_visit(invoice.visit, "did it", by=SYSTEM, now=timezone.now())
    with may_forget("x", by=SYSTEM, now=timezone.now()):
        TrailRow.objects.update(did="…")
    for rows, changed in ((TrailRow.objects.all(), {"did": "x"}), (Invoice.objects.all(), {"buyer": {}})):
        with pytest.raises(IntegrityError), transaction.atomic():
            rows.update(**changed)
    with pytest.raises(IntegrityError), may_forget("x", by=SYSTEM, now=timezone.now()):
        TrailRow.objects.update(by_words="somebody else")


def test_an_owner_is_erased_when_the_last_invoice_may_go_and_sooner_without_one():
    now = timezone.now()
    invoice, _ = invoiced()
    over(invoice.visit)
    never = over(garage.visit(), states.CALLED_OFF)
    still_open = garage.visit()
    listed = garage.owner()
    forgetting.forget_owners(now=now + timedelta(days=2 * 365 - 10))
    assert not Owner.objects.exclude(erased_at=None).exists()
    assert forgetting.forget_owners(now=now + timedelta(days=2 * 365 + 10)) == 2
    assert set(Owner.objects.exclude(erased_at=None)) == {never.owner, listed}
    assert TrailRow.objects.filter(about="the shop").first().did == "erased 2 owners past their time"
    assert forgetting.forget_owners(now=now + timedelta(days=7 * 365 - 10)) == 0
    assert forgetting.forget_owners(now=now + timedelta(days=7 * 365 + 10)) == 1
    assert set(Owner.objects.filter(erased_at=None)) == {still_open.owner}


def test_who_never_confirmed_a_booking_is_erased_after_a_month_but_not_with_another_visit():
    now = timezone.now()
    lapsed, again = over(garage.visit(), states.LAPSED), over(garage.visit(), states.LAPSED)
    over(garage.visit(owner=again.owner), states.CALLED_OFF)
    at = max(lapsed.starts_at or now, now)
    assert forgetting.forget_owners(now=at + timedelta(days=27)) == 0
    assert forgetting.forget_owners(now=at + timedelta(days=40)) == 1
    assert set(Owner.objects.exclude(erased_at=None)) == {lapsed.owner}


def test_mails_and_enclosures_stand_still_once_their_time_has_come_round():
    visit, now = over(jobs.visit_here()), timezone.now()
    for month in range(18):
        at = now + timedelta(days=30.5 * month)
        mailed(visit, now=at)
        mails.forget_old(now=at)
        assert Enclosure.objects.count() <= 4
        assert Message.objects.count() <= 13
