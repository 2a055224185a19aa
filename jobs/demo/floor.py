"""What happens to the demo's machines in the workshop, each event at its time. Nothing after now happens."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import partial

from diagnostics.changes import findings, gate_answers, gates
from diagnostics.core.gate_list import BENCH_LINES, HIGHEST_REVS, STRAPPED_LINES
from diagnostics.core.gate_sheet import GateSheet
from diagnostics.core.judging.evidence import IDLE, PEAK
from diagnostics.models.sheets import Finding
from garage.changes.day import plans, steps
from garage.changes.visit import floor, receiving
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.day_plan import day_plan
from garage.reads.shop import the_shop
from jobs.changes import (
    cards,
    closing,
    consents,
    counter_sales,
    credit_notes,
    estimate_answers,
    estimates,
    hand_lines,
    invoices,
    payments,
)
from jobs.changes.counter_sales import Sold
from jobs.core.billing.estimate import EstimateLine
from jobs.core.billing.hand_lines import DISCOUNT
from jobs.models.consents import Consent
from jobs.models.estimates import Estimate
from jobs.reads.access import invoice_of
from jobs.reads.book import left_on

Deed = Callable[[datetime], object]  # given the time at which it happens
AT_THE_BENCH = {line.id: "ok" for line in BENCH_LINES if line.results}
STRAPPED = {line.id: "ok" for line in STRAPPED_LINES} | {HIGHEST_REVS: "na"}


@dataclass
class Timeline:
    """Collects actions for any time, then runs them in time order."""

    now: datetime
    deeds: list[tuple[datetime, Deed]] = field(default_factory=list)

    def at(self, instant: datetime, deed: Deed) -> None:
        self.deeds.append((instant, deed))

    def play(self) -> None:
        for instant, deed in sorted(self.deeds, key=lambda pair: pair[0]):
            if instant <= self.now:
                deed(instant)


def day_plan_accepted(day: date, *, by: Person) -> Deed:
    """As it is proposed at that moment."""
    return lambda now: plans.accept(day, seen=day_plan(day, the_shop(), now).seen, by=by, now=now)


def comes(visit: Visit, *, by: Person, how: str = "trailer", came_with: str = "", remarks: str = "") -> Deed:
    return lambda now: receiving.take_in(
        visit,
        by=by,
        now=now,
        how_it_came=how,
        key_left=True,
        came_with=came_with,
        remarks=remarks,
        stays_overnight=False,
    )


def bench_part_ends(
    visit: Visit,
    *,
    by: Person,
    rev_out: str = "clean",
    strobe: Sequence[tuple[float, float]] = (),
    gauge_bar: float = 9.5,
) -> Deed:
    """The gate's checks at the bench are all OK except those given. rev_out: empty if the strobe rules it out."""
    seen = GateSheet(
        results=AT_THE_BENCH,
        strobe=tuple(strobe),
        not_seen="" if strobe else "the cover hides the marks",
        compression=(gauge_bar, "bar"),
    )

    def deed(now: datetime) -> None:
        gate = gates.begin(visit, by=by, now=now)
        gate_answers.answer(gate, given=seen, by=by, now=now)
        if rev_out:
            gate_answers.answer(gate, given=GateSheet(rev_out=rev_out), by=by, now=now)
        gates.end_at_the_bench(gate, by=by, now=now)

    return deed


def is_put_on(visit: Visit, *, by: Person, station: int = 1) -> Deed:
    return lambda now: gates.put_on_the_rollers(gates.begin(visit, by=by, now=now), station=station, by=by, now=now)


def strapped_part_ends(visit: Visit, *, by: Person, second: Person) -> Deed:
    """second: who is within call."""
    sheet = GateSheet(results=STRAPPED, second_id=second.pk)

    def deed(now: datetime) -> None:
        gate = gates.begin(visit, by=by, now=now)
        gate_answers.answer(gate, given=sheet, by=by, now=now)
        gates.end_strapped_down(gate, by=by, now=now)

    return deed


def gate_begins(visit: Visit, *, by: Person) -> Deed:
    return lambda now: gates.begin(visit, by=by, now=now)


def begins(visit: Visit, at: str, *, by: Person, station: int = 1) -> Deed:
    """Begins the next step at that place, and with it the clock on the card."""

    def deed(now: datetime) -> None:
        step = visit.steps.filter(at=at, is_check=False, began_at=None).order_by("index")[0]
        steps.begin(step, by=by, now=now, station=station)

    return deed


def ends(visit: Visit, *, by: Person) -> Deed:
    """Ends what runs, and with it the clock of whoever works there."""

    def deed(now: datetime) -> None:
        for step in visit.steps.filter(began_at__isnull=False, ended_at=None):
            steps.end(step, by=by, now=now)

    return deed


def strobed_again(visit: Visit, *, idle_deg: float, peak_deg: float, by: Person) -> Deed:
    """Readings at the bench once the timing is put right, in place of those that stopped it."""

    def deed(now: datetime) -> None:
        for question, deg in ((IDLE, idle_deg), (PEAK, peak_deg)):
            findings.record(visit, question=question, answer=deg, source=Finding.WORKSHOP, by=by, now=now)

    return deed


def wrote(visit: Visit, *, what: str, words: str, by: Person) -> Deed:
    return lambda now: cards.note(visit, what=what, words=words, by=by, now=now)


def jet(visit: Visit, *, before: str, after: str, by: Person) -> Deed:
    """After a pull that held: by a run where there is one, else by the word of who writes it."""
    return lambda now: cards.change_of_jet(
        visit, words="main jet", before=before, after=after, pulled_clean=True, by=by, now=now
    )


def read(visit: Visit, *, words: str, before: str, after: str, unit: str, by: Person) -> Deed:
    return lambda now: cards.reading(
        visit, of="", words=words, before=before, after=after, unit=unit, rpm=None, by=by, now=now
    )


def fitted(visit: Visit, *, words: str, quantity: str, price: str, by: Person) -> Deed:
    count, each = Decimal(quantity), Decimal(price)
    return lambda now: cards.part(visit, words=words, quantity=count, price_each=each, by=by, now=now)


def closes(visit: Visit, *, by: Person, cause: str = "", words: str = "", good: str = "") -> Deed:
    """Closes the card with a cause from the bank, or with nothing wrong if none is given."""

    def deed(now: datetime) -> None:
        if good:
            cards.looked_good(visit, fault=good, words="", by=by, now=now)
        if cause:
            cards.found_cause(visit, fault=cause, words=words, by=by, now=now)
            closing.close_with_causes(visit, by=by, now=now)
        else:
            closing.close_with_nothing_wrong(visit, by=by, now=now)
        floor.made_ready(visit, by=by, now=now)

    return deed


def invoiced(visit: Visit, *, by: Person) -> Deed:
    return lambda now: invoices.issue(visit, by=by, now=now)


def may_do_more(visit: Visit, *, words: str, price: str, by: Person) -> Deed:
    return lambda now: consents.ask(visit, words=words, price=Decimal(price), by=by, now=now)


def owner_says_yes(visit: Visit) -> Deed:
    return lambda now: consents.answer_by_owner(visit.consents.get(), answer=Consent.YES, now=now)


def estimated(visit: Visit, *, words: str, lines: Sequence[EstimateLine], by: Person) -> Deed:
    """Issued and mailed."""

    def deed(now: datetime) -> None:
        draft = estimates.begin(visit, by=by, now=now)
        until = draft.valid_until
        for line in lines:
            estimates.keep(draft, text=words, valid_until=until, line=line, by=by, now=now)
        estimates.issue(draft, text=words, valid_until=until, line=None, by=by, now=now)

    return deed


def owner_agrees(visit: Visit) -> Deed:
    return lambda now: estimate_answers.answer_by_owner(visit.estimates.get(), answer=Estimate.YES, now=now)


def done_as_estimated(visit: Visit, *, by: Person) -> Deed:
    return lambda now: estimate_answers.take_over(visit.estimates.get(), by=by, now=now)


def estimate_line(kind: str, words: str, quantity: str, price: str) -> EstimateLine:
    return EstimateLine(estimates.new_key(), kind, words, Decimal(quantity), Decimal(price))


def taken_off(visit: Visit, *, words: str, pounds: str, by: Person) -> Deed:
    line = partial(hand_lines.add, visit, kind=DISCOUNT, words=words, quantity=Decimal(1), price_each=-Decimal(pounds))
    return lambda now: line(vat_percent=None, exempt_why="", by=by, now=now)


def credited(visit: Visit, *, pounds: str, why: str, by: Person) -> Deed:
    """Of the first line of its invoice, which is not paid yet: there is less to pay."""

    def deed(now: datetime) -> None:
        invoice = invoice_of(visit)
        if invoice is not None:
            amounts = {1: Decimal(pounds)}
            credit_notes.credit(invoice, amounts=amounts, how=credit_notes.LATER, why=why, by=by, now=now)

    return deed


def sold_over_the_counter(*, words: str, quantity: str, price: str, by: Person) -> Deed:
    lines = [Sold(words, Decimal(quantity), Decimal(price))]
    return lambda now: counter_sales.sell(
        lines=lines, owner=None, buyer_name="", buyer_address="", how="cash", by=by, now=now
    )


def paid_and_collected(visit: Visit, *, how: str, by: Person) -> Deed:
    def deed(now: datetime) -> None:
        invoice = invoice_of(visit)
        if invoice is not None:
            payments.take(invoice, amount=left_on(invoice), how=how, by=by, now=now)
        floor.collected(visit, by=by, now=now)

    return deed


def before(instant: datetime, minutes: int) -> datetime:
    return instant - timedelta(minutes=minutes)


def after(instant: datetime, minutes: int) -> datetime:
    return instant + timedelta(minutes=minutes)
