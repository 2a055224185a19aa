"""The job card: opened on first use, added to while it is open, closed with a cause or "nothing wrong"."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from diagnostics.changes import bench_outcomes, causes, readings
from diagnostics.core.readings import read_reading
from diagnostics.models.bench import BenchOutcome
from diagnostics.models.causes import Cause
from diagnostics.reads.gates import not_for_the_road_of
from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.core import roller_rule, states
from garage.core.currencies import in_units
from garage.core.errors import BadInput, Refused
from garage.core.money import MOST, pounds_words
from garage.core.roller_rule import RollerAct
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.roller_facts import roller_facts_of
from jobs.changes import parts
from jobs.core.billing.invoice import MOST_OF_A_PART
from jobs.core.runs.jets import is_main_jet, is_smaller
from jobs.models.cards import Card, CardLine
from jobs.models.parts import StockPart
from jobs.reads.cards import parts_come_to
from jobs.reads.jets import jet_facts_of, main_jet_of

# Of a test ride. What the garage's own policy covers, the policy says.
INSURED = ("insured by the garage", "insured by the owner", "off the public road")


def opened(visit: Visit, *, by: Person, now: datetime) -> Card:
    """The visit's open card, locked. Created on first use. Call it inside a transaction."""
    visit = visit_for_change(visit)
    card = Card.objects.filter(visit=visit).first()
    if card and card.closed_at:
        raise Refused(f"The card of visit {visit.number} is closed: what is on it stays.")
    return card or _new(visit, by, now=now)


def _new(visit: Visit, by: Person, *, now: datetime) -> Card:
    if visit.state not in states.IN_THE_BUILDING:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: take the machine in, then its card can be opened.")
    card = Card.objects.create(visit=visit, opened_at=now, opened_by=by)
    trail.about_visit(visit, "opened the card", by=by, now=now)
    return card


def note(visit: Visit, *, what: str, words: str, by: Person, now: datetime) -> CardLine:
    """Work done, or a note."""
    if what not in (CardLine.WORK, CardLine.NOTE):
        raise BadInput("kind of line", what, "work or note")
    return _line(visit, by, what=what, words=words, now=now)


def change_of_jet(
    visit: Visit, *, words: str, before: str, after: str, pulled_clean: bool, by: Person, now: datetime
) -> CardLine:
    """words: which jet ("main jet"). before: the size taken out; of a main jet the one known to be in, if empty. after:
    the size put in. pulled_clean: the word of who writes it, where the rollers keep no file of their runs.

    Whether a smaller main jet may go in is asked of the one rule, behind the visit's lock.
    """
    if not before and not after:
        raise BadInput("jet", None, "the jet taken out, the jet put in, or both")
    with transaction.atomic():
        visit = opened(visit, by=by, now=now).visit
        if is_main_jet(words):
            before = before or main_jet_of(visit)
            if is_smaller(before=before, after=after):
                roller_rule.check(RollerAct.JET_DOWN, jet_facts_of(visit, pulled_clean=pulled_clean))
        return _line(visit, by, what=CardLine.JET, words=words, before=before, after=after, now=now)


def test_ride(visit: Visit, *, words: str, rider: str, insured: str, by: Person, now: datetime) -> CardLine:
    """words: where, and what it showed. rider: who rode, empty for by. insured: by whose insurance (INSURED).

    What must not go on the rollers is not ridden either: the one rule is asked, behind the visit's lock.
    """
    if insured not in INSURED:
        raise BadInput("insurance", insured, ", ".join(INSURED))
    with transaction.atomic():
        facts = roller_facts_of(visit_for_change(visit))
        roller_rule.check(RollerAct.BE_RIDDEN, replace(facts, failed_for_good=not_for_the_road_of(visit)))
        rode = rider.strip() or by.name[:30]
        return _line(visit, by, what=CardLine.RIDE, words=words, before=rode, after=insured, now=now)


def reading(
    visit: Visit, *, of: str, words: str, before: str, after: str, unit: str, rpm: int | None, by: Person, now: datetime
) -> CardLine:
    """of: a kind that the judgement and the gate go by (diagnostics/core/readings.py), or empty and then in words.

    Of a known kind the value after counts, or the one before if there is no other.
    """
    if not before and not after:
        raise BadInput("reading", None, "a value as found, one as left, or both")
    line = {"what": CardLine.READING, "before": before, "after": after, "rpm": rpm}
    if not of:
        return _line(visit, by, **line, words=words, unit=unit, now=now)
    taken = read_reading(of, after or before, unit, rpm)
    with transaction.atomic():
        opened(visit, by=by, now=now)
        row = readings.record(visit, taken, by=by, now=now)
        said = f"{taken.kind.say}, {words}" if words else taken.kind.say
        return _line(visit, by, **line, words=said, unit=taken.unit, taken=row, now=now)


def part(
    visit: Visit,
    *,
    words: str = "",
    quantity: Decimal,
    price_each: Decimal | None,
    stock: StockPart | None = None,
    by: Person,
    now: datetime,
) -> CardLine:
    """price_each: pounds, VAT included. All parts on a card come to no more than an invoice can say.

    stock: of the shop's list, from which it is taken: its words and price stand where none are given.
    """
    words, price_each = _as_listed(stock, words, price_each)
    if not 0 < quantity <= MOST_OF_A_PART:
        raise BadInput("quantity", quantity, f"more than 0, at most {MOST_OF_A_PART:,}")
    if not 0 <= price_each <= MOST:
        raise BadInput("price each", price_each, f"0 to {pounds_words(MOST)}")
    with transaction.atomic():
        before = parts_come_to(opened(visit, by=by, now=now))
        if quantity * price_each > MOST - before:
            allowed = f"a price at which all parts on the card come to at most {pounds_words(MOST)}"
            raise BadInput("price each", f"{pounds_words(price_each)}, {quantity} times", allowed)
        if stock:
            parts.take(stock, quantity)
        line = {"words": words, "quantity": quantity, "price_each": price_each, "stock": stock}
        return _line(visit, by, what=CardLine.PART, **line, now=now)


def _as_listed(stock: StockPart | None, words: str, price_each: Decimal | None) -> tuple[str, Decimal]:
    price_each = stock.price_each if stock and price_each is None else price_each
    if price_each is None:
        raise BadInput("price each", None, in_units("an amount in {units}, or a part of the list"))
    return words.strip() or (stock.words if stock else ""), price_each


def _line(visit: Visit, by: Person, *, now: datetime, **given: object) -> CardLine:
    if not str(given["words"]).strip():
        raise BadInput("words", None, "a few words to say what it is")
    with transaction.atomic():
        card = opened(visit, by=by, now=now)
        line = CardLine.objects.create(card=card, at=now, by=by, **given)
        trail.about_visit(visit, f"wrote on the card: {line.get_what_display()}, {line.words}", by=by, now=now)
        return line


def all_written(writes: Iterable[Callable[[], object]]) -> bool:
    """Writes all of these lines, or none if one of them is refused. writes: each gives nothing if it is refused."""
    with transaction.atomic():
        are_written = all(write() for write in writes)
        transaction.set_rollback(not are_written)
    return are_written


def strike(line: CardLine, *, by: Person, now: datetime) -> None:
    """A line struck out stays readable but no longer counts."""
    with transaction.atomic():
        visit = line.card.visit
        opened(visit, by=by, now=now)
        line.refresh_from_db()
        if line.struck_at:
            raise Refused("This line is already struck out.")
        line.struck_at = now
        line.save(update_fields=["struck_at"])
        if line.stock and line.quantity:
            parts.put_back(line.stock, line.quantity)
        if line.taken:
            readings.withdraw(line.taken, by=by, now=now)
        trail.about_visit(visit, f"struck out on the card: {line.words}", by=by, now=now, line=line.pk)


def found_cause(visit: Visit, *, fault: str, words: str, by: Person, now: datetime) -> None:
    """Records a confirmed cause on the open card: a fault from the bank, or free text."""
    with transaction.atomic():
        opened(visit, by=by, now=now)
        causes.confirm(visit, fault=fault, words=words, by=by, now=now)


def looked_good(visit: Visit, *, fault: str, words: str, by: Person, now: datetime) -> None:
    """Checked and found OK."""
    with transaction.atomic():
        opened(visit, by=by, now=now)
        causes.looked_good(visit, fault=fault, words=words, by=by, now=now)


def withdraw(cause: Cause, *, by: Person, now: datetime) -> None:
    with transaction.atomic():
        opened(cause.visit, by=by, now=now)
        causes.withdraw(cause, by=by, now=now)


def step_good(visit: Visit, *, step: str, by: Person, now: datetime) -> None:
    """This step of the bench order found nothing wrong."""
    with transaction.atomic():
        opened(visit, by=by, now=now)
        bench_outcomes.found_good(visit, step=step, by=by, now=now)


def step_was_it(visit: Visit, *, step: str, fault: str, by: Person, now: datetime) -> None:
    """This step of the bench order showed the fault and cured it."""
    with transaction.atomic():
        opened(visit, by=by, now=now)
        bench_outcomes.this_was_it(visit, step=step, fault=fault, by=by, now=now)


def step_back(outcome: BenchOutcome, *, by: Person, now: datetime) -> None:
    with transaction.atomic():
        opened(outcome.visit, by=by, now=now)
        bench_outcomes.take_back(outcome, by=by, now=now)
