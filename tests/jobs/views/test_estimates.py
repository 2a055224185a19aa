"""Estimates on pages: drafted, issued, answered by link or telephone, turned into lines; and the paper."""

from __future__ import annotations

import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from garage.reads import links
from jobs.changes import estimate_answers, parts
from jobs.models.book import HandLine
from jobs.models.estimates import Estimate
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


def at(name, *args):
    return reverse(name, args=args)


def typed(**given):
    values = {"do": "line", "kind": "labour", "stock": "", "words": "", "quantity": "1", "price_each": "", "text": ""}
    valid_until = (timezone.now() + timedelta(days=20)).strftime("%Y-%m-%d")
    return keyed(**values | {"vat_percent": "", "exempt_why": "", "valid_until": valid_until} | given)


def begun(client, visit):
    client.post(at("visit-estimate", visit.number))
    return at("estimate-draft", Estimate.objects.get().pk)


def owners(name, estimate):
    return at(name, links.token(estimate.visit, links.VISIT), estimate.pk)


def test_it_is_drafted_line_by_line_and_issued_with_what_was_typed_last(client, visit, by):
    given = {"place": "", "supplier": "", "price_each": Decimal("9.00"), "count": Decimal(2)}
    seals = parts.add(words="Seal kit", by=by, now=timezone.now(), **given)
    draft, labour = begun(client, visit), typed(quantity="1.5", text="Both seals leak.")
    for _ in range(2):  # a second press
        client.post(draft, labour)
    page = client.post(draft, typed(stock=seals.pk, quantity="2", text="Both seals leak."), follow=True).text
    for words in ("Both seals leak.", "Labour", "1.5 h", "Seal kit", "£18.00"):
        assert words in page
    page = client.post(draft, typed(do="issue", kind="discount", words="Us", price_each="-3"), follow=True).text
    assert "Estimate E1" in page
    assert "Not answered yet" in page
    estimate = Estimate.objects.get()
    assert [(line["kind"], line["gross"]) for line in estimate.lines] == [
        ("labour", str(estimate.gross - 15)),
        ("part", "18.00"),
        ("discount", "-3.00"),
    ]
    assert client.get(draft).status_code == 302
    assert "Estimate E1" in client.get(at("visit", visit.number)).text


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"quantity": "1e12"}, "less than or equal to 9999"),
        ({"quantity": "1.12345"}, "2 decimal places"),
        ({"price_each": "1.12345"}, "Price each"),
        ({"valid_until": "2020-01-02"}, "within a year from now"),
        ({"valid_until": "soon"}, "valid date"),
        ({"kind": "part", "price_each": "5"}, "A line needs a few words"),
        ({"kind": "part", "words": "Coil"}, "A line needs a price"),
        ({"kind": "part", "words": "Coil", "price_each": "-5"}, "0 or more"),
        ({"kind": "discount", "words": "Us", "price_each": "-5"}, "take less off"),
        ({"do": "issue"}, "put at least one line"),
    ],
)
def test_one_sentence_and_nothing_half_done_and_what_was_typed_stays(client, visit, wrong, said):
    draft = begun(client, visit)
    answer = client.post(draft, typed(text="The seals.") | wrong)
    assert answer.status_code in (409, 422)
    assert said in answer.text
    assert "The seals." in answer.text
    kept = Estimate.objects.get()
    assert (kept.lines, kept.text, kept.number) == ([], "", None)


def test_issued_by_two_presses_it_has_one_number_and_one_mail(client, visit):
    draft, form = begun(client, visit), typed(do="issue", words="Seals", price_each="50")
    for _ in range(2):
        assert client.post(draft, form).status_code == 302
    assert Estimate.objects.get().number == 1
    assert visit.messages.filter(what="estimate_issued").count() == 1


def test_the_owner_reads_it_word_for_word_and_says_yes_once(client, visit, by):
    estimate = jobs.estimate(visit, by=by, text="Both seals leak.")
    client.logout()
    assert "Read it, say yes or no" in client.get(at("owner-visit", links.token(visit, links.VISIT))).text
    page = client.get(owners("owner-estimate", estimate)).text
    for words in ("Both seals leak.", "Crank seals, both", "£81.00", "valid until"):
        assert words in page
    assert Estimate.objects.get().answer == ""
    assert client.post(owners("owner-estimate", estimate), {"answer": "yes"}).status_code == 302
    late = client.post(owners("owner-estimate", estimate), {"answer": "no"})
    assert late.status_code == 409
    assert "answered already: yes" in late.text
    assert "You said yes" in late.text
    assert "May we do more?" not in client.get(at("owner-visit", links.token(visit, links.VISIT))).text


def test_one_that_has_run_out_says_to_ring_and_a_replaced_one_leads_to_the_new_one(client, visit, by):
    made = timezone.now() - timedelta(days=40)
    old = jobs.estimate(visit, by=by, now=made, valid_until=(made + timedelta(days=9)).date())
    client.logout()
    answer = client.post(owners("owner-estimate", old), {"answer": "yes"})
    assert answer.status_code == 409
    assert "ask for it anew" in answer.text
    new = jobs.estimate(visit, by=by)
    assert owners("owner-estimate", new) in client.get(owners("owner-estimate", old)).text


def test_another_visits_estimate_or_a_draft_is_not_there(client, visit, by):
    estimate, other = jobs.estimate(visit, by=by), jobs.card(by=by).visit
    client.post(at("visit-estimate", other.number))
    draft = Estimate.objects.get(visit=other)
    token = links.token(other, links.VISIT)
    for name in ("owner-estimate", "owner-estimate-pdf"):
        assert client.get(at(name, token, estimate.pk)).status_code == 404
        assert client.get(at(name, token, draft.pk)).status_code == 404


def test_what_was_heard_on_the_telephone_is_written_down_and_its_lines_taken_over_by_one_tap(client, visit, by):
    estimate = jobs.estimate(visit, by=by)
    heard = {"answer": "yes", "heard_by": by.pk, "heard_at": timezone.localtime().replace(second=0).isoformat()}
    page = client.post(at("estimate", estimate.pk), heard, follow=True).text
    assert "heard by Bess on the telephone" in page
    assert at("estimate", estimate.pk) in client.get(at("card", visit.number)).text
    assert "was agreed: £81.00" in client.get(at("invoice-issue", visit.number)).text
    for said in ("all other lines on the invoice", "already"):  # a second press
        assert said in client.post(at("estimate-take-over", estimate.pk), follow=True).text
    assert HandLine.objects.count() == 1


def test_a_mechanic_reads_it_and_writes_none(client, visit, by):
    estimate = jobs.estimate(visit, by=by)
    client.force_login(garage.person())
    assert client.get(at("estimate", estimate.pk)).status_code == 200
    assert client.post(at("visit-estimate", visit.number)).status_code == 403
    assert client.post(at("estimate-withdraw", estimate.pk)).status_code == 403


def test_one_for_a_machine_before_any_visit_is_used_for_a_visit_later(client, visit, by):
    page = client.post(at("machine-estimate", visit.machine_id), follow=True).text
    assert "before any visit" in page
    estimate = jobs.estimate(machine=visit.machine, by=by)
    assert "Use it for this visit" in client.get(at("visit", visit.number)).text
    client.post(at("estimate-use", visit.number, estimate.pk))
    estimate_answers.answer_by_owner(Estimate.objects.get(), answer="yes", now=timezone.now())
    assert "Estimate E1" in client.get(at("machine", visit.machine_id)).text


def test_a_draft_that_is_thrown_away_and_one_withdrawn_lead_back(client, visit, by):
    draft = begun(client, visit)
    client.post(draft, typed())
    key = Estimate.objects.get().lines[0]["key"]
    assert client.post(at("estimate-line-strike", Estimate.objects.get().pk, key), follow=True).status_code == 200
    assert "thrown away" in client.post(at("estimate-discard", Estimate.objects.get().pk), follow=True).text
    estimate = jobs.estimate(visit, by=by)
    assert "Withdrawn" in client.post(at("estimate-withdraw", estimate.pk), follow=True).text


def test_the_paper_is_tagged_says_what_it_is_and_is_the_same_each_time(client, visit, by):
    estimate = jobs.estimate(visit, by=by)
    first, second = (client.get(at("estimate-pdf", estimate.pk)) for _ in range(2))
    assert first["Content-Type"] == "application/pdf"
    assert first.content == second.content
    paper = PdfReader(io.BytesIO(first.content))
    assert paper.trailer["/Root"]["/MarkInfo"]["/Marked"]
    words = " ".join(paper.pages[0].extract_text().split())
    for said in ("Estimate E1", "Valid until", "No work beyond this without your yes.", "£81.00", estimate.sha256):
        assert said in words
    assert "Tax point" not in words
    estimate_answers.answer_by_owner(estimate, answer="yes", now=timezone.now())
    assert client.get(owners("owner-estimate-pdf", estimate)).content == first.content
