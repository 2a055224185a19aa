from __future__ import annotations

import json
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from garage.changes.people.erasing import erase
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.messages import Message
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from jobs.changes import closing, consents, estimate_answers, estimates, invoices, parts
from jobs.core.documents.fingerprint import fingerprint, plain
from jobs.models.book import HandLine, Series
from jobs.models.consents import Consent
from jobs.models.estimates import Estimate
from jobs.models.parts import PartOrder, StockPart
from jobs.reads.consents import agreed_to, said_yes_to
from jobs.reads.estimates import what_it_says
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return garage.boss()


@pytest.fixture
def visit(by):
    return jobs.card(by=by).visit


def issued(visit, by, *lines, **given):
    return jobs.estimate(visit, lines=lines, by=by, **given)


def part(price, **given):
    values = {"kind": "part", "words": "Seal", "quantity": Decimal(1), "price_each": Decimal(price)}
    return jobs.estimate_line(**values | given)


def says(estimate, answer, now=None):
    estimate_answers.answer_by_owner(Estimate.objects.get(pk=estimate.pk), answer=answer, now=now or timezone.now())


def agreed(visit):
    return agreed_to(visit, the_shop(), said_yes_to(visit), was_held=False)


def frozen():
    return pytest.raises(IntegrityError, match="never changed")


def test_it_has_numbers_of_its_own_and_goes_out_word_for_word_with_a_link(visit, by):
    first = issued(visit, by, text="Both seals leak.")
    other = issued(jobs.card(by=by).visit, by)
    assert (first.title, other.title) == ("Estimate E1", "Estimate E2")
    assert not Series.objects.filter(name="invoice").exists()
    mail = Message.objects.get(visit=visit, what="estimate_issued")
    for words in ("Both seals leak.", "Crank seals, both: 1.5 h at £54.00, £81.00", f"/estimate/{first.pk}/"):
        assert words in mail.text
    assert TrailRow.objects.filter(visit=visit, did="issued estimate E1: £81.00").exists()


def test_a_number_that_was_not_used_is_given_back(visit, by):
    draft, now = estimates.begin(visit, by=by, now=timezone.now()), timezone.now()
    with pytest.raises(Refused, match="at least one line"):
        estimates.issue(draft, text="", valid_until=draft.valid_until, line=None, by=by, now=now)
    assert issued(visit, by).number == 1


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"valid_until": timezone.localdate() - timedelta(days=2)}, "Valid until"),
        ({"line": part("1.00001")}, "price"),
        ({"line": jobs.estimate_line(quantity=Decimal("1e12"))}, "How many"),
        ({"text": "x" * 1001}, "What is to be done"),
    ],
)
def test_what_cannot_be_issued_leaves_nothing(visit, by, given, said):
    draft = estimates.begin(visit, by=by, now=timezone.now())
    values = {"text": "", "valid_until": draft.valid_until, "line": jobs.estimate_line()} | given
    with pytest.raises(BadInput, match=said):
        estimates.issue(draft, **values, by=by, now=timezone.now())
    kept = Estimate.objects.get()
    assert (kept.issued_at, kept.lines) == (None, [])
    assert not Series.objects.filter(name="estimate", last__gt=0).exists()


def test_an_issued_one_is_frozen_and_its_hash_says_so(visit, by):
    estimate = issued(visit, by)
    kept = Estimate.objects.get(pk=estimate.pk)
    assert kept.sha256 == fingerprint({name: plain(value) for name, value in what_it_says(kept).items()})
    for change in ({"text": "x"}, {"lines": []}, {"gross": 1}, {"valid_until": "2099-01-01"}, {"sha256": "x"}):
        with frozen(), transaction.atomic():
            Estimate.objects.filter(pk=estimate.pk).update(**change)
    with frozen(), transaction.atomic():
        Estimate.objects.filter(pk=estimate.pk).update(issued_at=None, number=None)
    with frozen(), transaction.atomic():
        Estimate.objects.filter(pk=estimate.pk)._raw_delete("default")
    says(estimate, "yes")
    for change in ({"answer": "no"}, {"answered_at": timezone.now()}, {"heard_by": by}, {"visit": jobs.visit_here()}):
        with frozen(), transaction.atomic():
            Estimate.objects.filter(pk=estimate.pk).update(**change)


def test_a_draft_is_changed_and_thrown_away(visit, by):
    draft, now = estimates.begin(visit, by=by, now=timezone.now()), timezone.now()
    assert estimates.begin(visit, by=by, now=now) == draft
    values = {"text": "", "valid_until": draft.valid_until, "by": by, "now": now}
    line = jobs.estimate_line()
    estimates.keep(draft, line=line, **values)
    for _ in range(2):
        estimates.strike(draft, key=line.key, by=by, now=now)
    assert Estimate.objects.get().lines == []
    estimates.discard(draft, by=by, now=now)
    with pytest.raises(Refused, match="thrown away"):
        estimates.keep(draft, line=None, **values)


def test_a_yes_is_what_is_agreed_in_place_of_the_limit(visit, by):
    estimate = issued(visit, by, text="Both seals.")
    assert agreed(visit).total == the_shop().bench_limit_pounds
    for _ in range(2):
        says(estimate, "yes")
    consent = Consent.objects.get()
    assert (consent.words, consent.price, consent.answer) == ("Estimate E1, £81.00 in all: Both seals.", 81, "yes")
    assert agreed(visit).total == 81
    with pytest.raises(Refused, match="answered already: yes"):
        says(estimate, "no")
    assert TrailRow.objects.filter(did="the owner said yes to estimate E1, £81.00").count() == 1


def test_a_no_agrees_to_nothing(visit, by):
    says(issued(visit, by), "no")
    assert not Consent.objects.exists()
    assert agreed(visit).total == the_shop().bench_limit_pounds


def test_one_that_has_run_out_is_not_accepted_but_what_was_said_in_time_may_be_written_down_later(visit, by):
    made = timezone.now() - timedelta(days=40)
    estimate = issued(visit, by, now=made, valid_until=timezone.localdate(made) + timedelta(days=10))
    with pytest.raises(Refused, match="ask for it anew"):
        says(estimate, "yes")
    said = {"answer": "yes", "heard_by": by, "by": by, "now": timezone.now()}
    with pytest.raises(BadInput, match="after it was issued"):
        estimate_answers.answer_by_phone(estimate, heard_at=made - timedelta(hours=1), **said)
    estimate_answers.answer_by_phone(estimate, heard_at=made + timedelta(days=3), **said)
    assert Consent.objects.get().heard_by == by


def test_a_later_one_takes_the_place_of_one_that_waits(visit, by):
    first = issued(visit, by)
    second = issued(visit, by, part("99.00"))
    with pytest.raises(Refused, match="replaced by a later"):
        says(first, "yes")
    says(second, "yes")
    assert agreed(visit).yeses == (Decimal("99.00"),)


def test_a_yes_stands_until_a_later_one_has_its_own(visit, by):
    first = issued(visit, by)
    says(first, "yes")
    second = issued(visit, by, part("99.00"))
    assert agreed(visit).yeses == (Decimal("81.00"),)
    says(second, "yes")
    assert agreed(visit).yeses == (Decimal("99.00"),)
    assert [one.replaced_by_id for one in Estimate.objects.order_by("pk")] == [second.pk, None]


def test_only_one_that_nobody_has_answered_is_withdrawn(visit, by):
    estimate, now = issued(visit, by), timezone.now()
    for _ in range(2):
        estimates.withdraw(Estimate.objects.get(), by=by, now=now)
    with pytest.raises(Refused, match="withdrawn"):
        says(estimate, "yes")
    other = issued(visit, by)
    says(other, "no")
    with pytest.raises(Refused, match="nobody has answered"):
        estimates.withdraw(other, by=by, now=now)


def test_of_a_visit_that_is_over_there_is_none_and_no_answer(visit, by):
    estimate = issued(visit, by)
    Visit.objects.filter(pk=visit.pk).update(state=states.CALLED_OFF)
    with pytest.raises(Refused, match="work is over"):
        says(estimate, "yes")
    with pytest.raises(Refused, match="is over"):
        issued(visit, by)


@pytest.fixture
def seals(by):
    given = {"place": "", "supplier": "", "price_each": Decimal("9.00"), "count": Decimal(2)}
    return parts.add(words="Seal kit", by=by, now=timezone.now(), **given)


def mixed(seals):
    return (
        jobs.estimate_line(),
        part("12.34", stock_id=seals.pk),
        part("7.99"),
        part("3.06", vat_percent=Decimal(5)),
        jobs.estimate_line(kind="discount", words="A year with us", quantity=Decimal(1), price_each=Decimal("-5.00")),
    )


@pytest.mark.parametrize("vat_number", ["GB999999973", ""])
def test_taken_over_once_it_comes_to_the_same_invoice_whatever_the_clock_says_within_it(visit, by, seals, vat_number):
    shop = the_shop()
    shop.vat_number = vat_number
    shop.save()
    lines = mixed(seals)
    lines = lines if vat_number else [line for line in lines if line.vat_percent is None]
    estimate = issued(visit, by, *lines)
    says(estimate, "yes")
    jobs.labour(visit.card, minutes=88, by=by)
    estimate_answers.take_over(estimate, by=by, now=timezone.now())
    with pytest.raises(Refused, match="already"):
        estimate_answers.take_over(estimate, by=by, now=timezone.now())
    closing.close_with_nothing_wrong(visit, by=by, now=timezone.now())
    visit.owner.address = "1 Mill Row"
    visit.owner.save()
    invoice = invoices.issue(Visit.objects.get(pk=visit.pk), by=by, now=timezone.now())
    assert (invoice.net, invoice.vat, invoice.gross) == (estimate.net, estimate.vat, estimate.gross)
    assert invoice.vat_by_rate == estimate.vat_by_rate
    assert [line.unit for line in invoice.lines.filter(words="Crank seals, both")] == ["h"]
    assert StockPart.objects.get().count == 1


def test_more_than_it_needs_the_named_override(visit, by):
    estimate = issued(visit, by)
    says(estimate, "yes")
    estimate_answers.take_over(estimate, by=by, now=timezone.now())
    jobs.part(visit.card, price_each=Decimal("4.50"))
    closing.close_with_nothing_wrong(visit, by=by, now=timezone.now())
    closed = Visit.objects.get(pk=visit.pk)
    with pytest.raises(Refused, match=r"agreed to £81\.00: £4\.50 more"):
        invoices.issue(closed, by=by, now=timezone.now())
    consents.let_through(closed, why="A jet, said at the counter.", by=by, now=timezone.now())
    assert invoices.issue(closed, by=by, now=timezone.now()).gross == Decimal("85.50")


def test_a_listed_part_that_is_not_in_stock_is_ordered_for_the_card(visit, by, seals):
    estimate = issued(visit, by, part("12.34", quantity=Decimal(3), stock_id=seals.pk))
    says(estimate, "yes")
    assert estimate_answers.take_over(estimate, by=by, now=timezone.now()) == ["Seal"]
    order = PartOrder.objects.get()
    assert (order.quantity, order.price_each) == (3, Decimal("12.34"))
    assert not visit.card.lines.exists()


def test_with_the_card_closed_all_of_it_goes_on_the_invoice(visit, by, seals):
    estimate = issued(visit, by, *mixed(seals))
    says(estimate, "yes")
    closing.close_with_nothing_wrong(visit, by=by, now=timezone.now())
    estimate_answers.take_over(Estimate.objects.get(), by=by, now=timezone.now())
    assert HandLine.objects.filter(visit=visit).count() == 5


def test_before_the_machine_is_here_or_while_a_later_one_waits_nothing_is_taken_over(by):
    garage.shop()
    visit = garage.visit()
    estimate = issued(visit, by)
    says(estimate, "yes")
    with pytest.raises(Refused, match="take the machine in"):
        estimate_answers.take_over(estimate, by=by, now=timezone.now())
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=timezone.now())
    later = issued(visit, by)
    with pytest.raises(Refused, match="E2 waits for an answer"):
        estimate_answers.take_over(estimate, by=by, now=timezone.now())
    estimates.withdraw(later, by=by, now=timezone.now())
    estimate_answers.take_over(Estimate.objects.get(number=1), by=by, now=timezone.now())
    with pytest.raises(Refused, match="ask about more work"):
        issued(visit, by)


def test_made_before_any_visit_it_is_answered_by_telephone_and_agreed_for_the_visit_it_is_put_to(visit, by):
    before = timezone.now() - timedelta(days=1)
    first, estimate = (jobs.estimate(machine=visit.machine, by=by, now=before) for _ in range(2))
    mail = Message.objects.filter(visit=None).last()
    assert mail.to == visit.owner.email
    assert "To say yes or no ring" in mail.text
    with pytest.raises(Refused, match="replaced"):
        says(first, "yes")
    said = {"answer": "yes", "heard_by": by, "heard_at": timezone.now(), "by": by, "now": timezone.now()}
    estimate_answers.answer_by_phone(estimate, **said)
    with pytest.raises(Refused, match="no visit yet"):
        estimate_answers.take_over(estimate, by=by, now=timezone.now())
    with pytest.raises(Refused, match="another machine"):
        estimate_answers.use_for(estimate, jobs.visit_here(), by=by, now=timezone.now())
    estimate_answers.use_for(estimate, visit, by=by, now=timezone.now())
    assert agreed(visit).yeses == (Decimal("81.00"),)
    with pytest.raises(Refused, match="open its page again"):
        estimate_answers.use_for(estimate, visit, by=by, now=timezone.now())


def test_erasing_takes_the_owner_out_and_keeps_the_sums(by):
    garage.shop()
    visit = garage.visit(machine=garage.machine(owner=garage.owner(name="Jocasta Quillfeather")))
    estimate = issued(visit, by, text="As Jocasta Quillfeather asked.")
    Visit.objects.filter(pk=visit.pk).update(state=states.CALLED_OFF, called_off_at=timezone.now())
    erase(visit.owner, by=by, now=timezone.now())
    kept = Estimate.objects.get(pk=estimate.pk)
    assert "Quillfeather" not in json.dumps([kept.text, kept.buyer, kept.lines])
    assert (kept.salt, kept.gross, kept.sha256) == ("", estimate.gross, estimate.sha256)
