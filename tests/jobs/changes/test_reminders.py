"""The sweep: what is due is written once, in the shop's words, whoever looks and however often."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from diagnostics.models.sheets import Sheet
from garage.changes.mail import worded
from garage.changes.visit import visits
from garage.core import states
from garage.core.mail.reminders import DAY_BEFORE, INVOICE_DUE, INVOICE_LATE, SHEET_EARLY, SHEET_LATE, STILL_HERE
from garage.core.mail.wording import DO_NOT_RUN, WORDED
from garage.models.actors import SYSTEM
from garage.models.messages import Message
from garage.models.reminders import Reminded
from garage.models.trail import TrailRow
from jobs.changes import invoices, payments, reminders
from tests.factories import garage, jobs
from tests.factories.addresses import personal_address

pytestmark = pytest.mark.django_db
TEN = datetime(2026, 1, 15, 10, tzinfo=UTC)  # a Thursday; in winter the garage's clock shows UTC
EARLY = TEN - timedelta(hours=72)
NOON_BEFORE = datetime(2026, 1, 14, 12, tzinfo=UTC)


@pytest.fixture
def visit():
    garage.shop(payment_words="By transfer.")
    return garage.visit(starts_at=TEN)


def reminded(*, now):
    """What the sweep writes at that time, by name."""
    before = set(Message.objects.values_list("pk", flat=True))
    reminders.remind_all(now=now)
    return [message.what for message in Message.objects.exclude(pk__in=before).order_by("pk")]


def test_a_sheet_not_begun_is_asked_for_with_its_link_and_noted(visit):
    assert reminded(now=EARLY) == [SHEET_EARLY]
    message = Message.objects.get()
    assert (message.to, message.visit, message.written_at) == (visit.owner.email, visit, EARLY)
    assert "You have not begun the check sheet yet." in message.text
    assert personal_address(visit, "sheet") in message.text
    assert personal_address(visit, "visit") in message.text
    assert "Thursday 15 January 2026, 10:00" in message.text
    row = TrailRow.objects.get(visit=visit)
    assert (row.did, row.by_words) == ("reminded: check sheet, three days before", SYSTEM.value)


def test_however_often_it_looks_each_goes_out_once(visit):
    assert reminded(now=EARLY) == [SHEET_EARLY]
    assert reminded(now=EARLY + timedelta(minutes=5)) == []
    reminders.remind(visit, now=EARLY)  # a second worker that had looked before the first one wrote
    assert Reminded.objects.count() == Message.objects.count() == 1
    assert reminded(now=TEN - timedelta(hours=39)) == [SHEET_LATE]
    assert reminded(now=NOON_BEFORE) == [DAY_BEFORE]


def test_a_begun_sheet_is_asked_for_in_other_words_and_a_sent_one_not_at_all(visit):
    sheet = Sheet.objects.create(visit=visit, begun_at=TEN - timedelta(days=9))
    reminded(now=EARLY)
    assert "You have begun the check sheet, but it is not sent yet." in Message.objects.get().text
    sheet.sent_at = EARLY
    sheet.save()
    assert reminded(now=TEN - timedelta(hours=39)) == []


def test_the_day_before_it_says_when_to_be_there_and_what_to_bring(visit):
    assert DAY_BEFORE in reminded(now=NOON_BEFORE)
    text = Message.objects.get(what=DAY_BEFORE).text
    assert "Please be here at 09:30." in text
    assert "Please bring the key" in text


def test_a_machine_that_must_not_run_is_never_reminded_of_without_saying_so(visit):
    visit.must_not_run, visit.route = ["It has nipped up."], "fix-first"
    visit.save()
    assert reminded(now=NOON_BEFORE) == [DAY_BEFORE]
    message = Message.objects.get()
    assert DO_NOT_RUN in message.text
    assert DO_NOT_RUN in message.html


@pytest.mark.parametrize("hour", [20, 23, 3, 7])
def test_at_night_nothing_goes_out(visit, hour):
    assert reminded(now=TEN.replace(day=14 if hour > 8 else 15, hour=hour) - timedelta(days=1)) == []


def test_whoever_has_just_been_told_the_time_is_not_reminded_of_it(visit):
    Message.objects.create(
        visit=visit, what="visit_moved", to="a@example.org", written_at=NOON_BEFORE, due_at=NOON_BEFORE
    )
    Sheet.objects.create(visit=visit, begun_at=EARLY, sent_at=EARLY)
    assert reminded(now=NOON_BEFORE + timedelta(hours=2)) == []


def test_a_visit_called_off_is_not_reminded_of(visit):
    visits.call_off(visit, why="Sold it.", by=garage.boss(), now=EARLY - timedelta(days=1))
    assert reminded(now=EARLY) == []


def test_what_is_switched_off_stays_off(visit):
    boss = garage.boss()
    delivered = WORDED[SHEET_EARLY]
    worded.reword(SHEET_EARLY, is_on=False, subject=delivered.subject, text=delivered.text, by=boss, now=EARLY)
    assert reminded(now=EARLY) == []
    assert not Reminded.objects.exists()


def test_the_shops_own_words_are_sent_with_the_placeholders_filled(visit):
    boss = garage.boss()
    worded.reword(
        SHEET_EARLY, is_on=True, subject="Sheet, {owner}?", text="{sheet_state}\n\n{sheet_link}", by=boss, now=EARLY
    )
    reminded(now=EARLY)
    message = Message.objects.get()
    assert message.subject == f"Sheet, {visit.owner.name}?"
    assert message.text.startswith("You have not begun the check sheet yet.\n\nhttp")
    assert f'href="{personal_address(visit, "sheet")}"' in message.html


def test_an_owner_without_an_address_has_the_reminder_waiting_for_a_person(visit):
    visit.owner.email = ""
    visit.owner.save()
    reminded(now=EARLY)
    assert Message.objects.get().trouble == "No email address is on file."


def wording(what, *, is_on=True, text=""):
    worded.reword(
        what,
        is_on=is_on,
        subject=WORDED[what].subject,
        text=text or WORDED[what].text,
        by=garage.boss(),
        now=TEN - timedelta(days=20),
    )


def owing(**owner):
    """An invoice of £40.00 that was issued as many days before as it is due in."""
    machine = garage.machine(owner=garage.owner(**owner))
    row = garage.visit(machine=machine, state=states.COLLECTED, starts_at=TEN - timedelta(days=14))
    card = jobs.closed_card(visit=row)
    jobs.part(card, price_each=Decimal("40"))
    return invoices.issue(row, by=garage.boss(), now=TEN - timedelta(days=14))


def test_a_private_owner_is_reminded_of_an_invoice_only_where_the_shop_wants_it():
    garage.shop()
    owing()
    assert reminded(now=TEN + timedelta(hours=2)) == []
    wording(INVOICE_DUE)
    assert reminded(now=TEN + timedelta(hours=2)) == [INVOICE_DUE]


def test_a_business_is_told_on_the_day_after_in_the_garages_own_words_and_a_private_owner_never_is():
    """The words are the garage's. Their source would be the Late Payment of Commercial Debts (Interest) Act 1998."""
    garage.shop()
    claim = "Interest at 8\u00a0% over base rate and a fixed £40 are added."
    wording(INVOICE_DUE)
    wording(INVOICE_LATE, text=f"Invoice {{invoice}}: {{to_pay}} to pay. {claim}")
    owing(name="Mill Garage Ltd", is_business=True)
    assert reminded(now=TEN + timedelta(hours=2)) == []
    owing(name="Pat Lane")
    after = TEN + timedelta(hours=26)
    assert sorted(reminded(now=after)) == [INVOICE_LATE, INVOICE_DUE]
    assert [reminded(now=after), reminded(now=after + timedelta(days=1))] == [[], []]
    assert claim in Message.objects.get(what=INVOICE_LATE, visit__owner__is_business=True).text
    assert claim not in Message.objects.get(what=INVOICE_DUE).text


def test_as_delivered_nothing_is_claimed_of_a_business():
    delivered = f"{WORDED[INVOICE_LATE].subject} {WORDED[INVOICE_LATE].text}".lower()
    for claim in ("interest", "act", "statut", "law", "compensation", "charge"):
        assert claim not in delivered.replace("exact", "")


def test_a_machine_left_standing_and_an_invoice_due_are_reminded_of(visit):
    wording(INVOICE_DUE)
    ready_at = TEN - timedelta(hours=72)
    garage.visit(state=states.READY, arrived_at=ready_at, ready_at=ready_at, starts_at=ready_at)
    card = jobs.closed_card(visit=garage.visit(state=states.COLLECTED, starts_at=TEN - timedelta(days=14)))
    jobs.part(card, price_each=Decimal("40"))
    invoice = invoices.issue(card.visit, by=garage.boss(), now=TEN - timedelta(days=14))
    Sheet.objects.create(visit=visit, begun_at=EARLY, sent_at=EARLY)
    assert reminded(now=TEN + timedelta(hours=2)) == [STILL_HERE, INVOICE_DUE]
    text = Message.objects.get(what=INVOICE_DUE).text
    assert f"Of invoice {invoice.number} for your Corrick 185, £40.00 is still to pay. By transfer." in text
    assert reminded(now=TEN + timedelta(hours=3)) == []


def test_a_paid_invoice_is_not_reminded_of(visit):
    card = jobs.closed_card(visit=garage.visit(state=states.COLLECTED, starts_at=TEN - timedelta(days=14)))
    jobs.part(card, price_each=Decimal("40"))
    invoice = invoices.issue(card.visit, by=garage.boss(), now=TEN - timedelta(days=14))
    payments.take(invoice, amount=Decimal("40"), how="cash", by=garage.boss(), now=TEN)
    Sheet.objects.create(visit=visit, begun_at=EARLY, sent_at=EARLY)
    assert reminded(now=TEN + timedelta(hours=2)) == []
