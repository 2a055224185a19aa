"""The demo is loaded at whatever hour somebody starts the garage for the first time."""

import pickle
from collections.abc import Iterator
from datetime import datetime
from io import StringIO
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth import authenticate
from django.core.management import CommandError, call_command

from diagnostics.changes import judgements
from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case
from diagnostics.core.judging.judgement import Judgement
from diagnostics.hearing.models.clips import Clip
from diagnostics.models.gates import Gate
from garage.core import states
from garage.models.owners import Owner
from garage.models.people import Person
from garage.models.shop import VisitKind
from garage.models.standby import Offer
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from garage.pages.day_sheet import day_page
from garage.reads.shop import the_shop
from jobs.demo import past
from jobs.demo.garage import founded, founded_to_play
from jobs.demo.visits import told
from jobs.models.book import CreditNote, Invoice
from jobs.models.estimates import Estimate
from jobs.reads.book import left_on
from tests.factories import garage as factory

pytestmark = pytest.mark.long(minutes=2)

LONDON = ZoneInfo("Europe/London")
# A Wednesday in winter, a Saturday, the Sundays of both clock changes (last Sundays of October and
# March, EU directive 2000/84/EC), Christmas Day, the first working day after Easter Sunday, 28 March 2027.
MOMENTS = (
    "2026-11-25 00:05",
    "2026-11-25 12:20",
    "2026-11-28 13:07",
    "2026-10-25 01:30",
    "2027-03-28 07:40",
    "2026-12-25 21:15",
    "2027-03-30 08:50",
    "2027-03-30 16:31",
)


@pytest.fixture(autouse=True, scope="module")
def _the_same_case_is_judged_once() -> Iterator[None]:
    """The past year's cases are the same at whatever hour it is loaded: nearly two hundred, a quarter of the work."""
    kept: dict[bytes, Judgement] = {}
    assess = judgements.assess

    def judged(bank: Bank, case: Case) -> Judgement:
        key = pickle.dumps((bank, case))
        return kept.get(key) or kept.setdefault(key, assess(bank, case))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(judgements, "assess", judged)
        yield


def instant(local: str) -> datetime:
    return datetime.fromisoformat(local).replace(tzinfo=LONDON)


def loaded(now: datetime) -> None:
    told(founded(now=now), now)


def assert_nobody_is_real() -> None:
    """RFC 2606 keeps example.com, .org and .net; Ofcom keeps 01632 960000-960999 and 07700 900000-900999 for drama."""
    assert Owner.objects.exists()
    for owner in Owner.objects.all():
        assert owner.email.partition("@")[2] in {"example.com", "example.org", "example.net"}
        assert owner.telephone.startswith("07700 900")
        assert len(owner.telephone) == len("07700 900123")


@pytest.mark.django_db
@pytest.mark.parametrize("moment", MOMENTS)
def test_it_loads_at_any_hour_with_nobody_real_in_it_and_nothing_that_has_happened_in_the_future(moment):
    now = instant(moment)
    loaded(now)
    assert_nobody_is_real()
    assert Visit.objects.count() == past.MANY + 15
    assert not TrailRow.objects.filter(at__gt=now).exists()
    assert not Visit.objects.filter(arrived_at__gt=now).exists()
    paid = Invoice.objects.get(number=1)
    assert paid.visit.state == states.COLLECTED
    assert paid.deposit == 30
    assert [line.gross for line in paid.lines.filter(gross__lt=0)] == [-5]  # money off
    assert [consent.answer for consent in paid.visit.consents.all()] == ["yes"]
    assert [(one.number, one.answer) for one in Estimate.objects.order_by("number")] == [(1, "yes"), (2, "")]
    assert Estimate.objects.get(number=1).taken_over_at
    assert CreditNote.objects.get().corrects.visit.state == states.READY
    assert Invoice.objects.filter(visit=None).count() == 1  # sold over the counter


@pytest.mark.django_db
@pytest.mark.parametrize("hour", ["10:44", "14:40"])
def test_the_floor_is_busy_during_the_day(hour):
    now = instant(f"2026-11-25 {hour}")
    loaded(now)
    assert_nobody_is_real()
    page = day_page(now.date(), the_shop(), now=now)
    here = set(Visit.objects.filter(state__in=states.IN_THE_BUILDING).values_list("state", flat=True))
    assert {states.ON_THE_ROLLERS, states.ON_THE_BENCH, states.HERE, states.READY} <= here
    assert not [words for words in page.troubles if "Promised for" in words or "leave no room" in words], page.troubles
    assert page.plan.at_words == "07:45"
    assert page.plan.changes, "something has moved since the morning"
    assert any(hand.url_name == "findings" for hand in page.hands)
    assert {visit.route for visit in Visit.objects.all()} >= {"fix-first", "phone-first", "do-not-run", "roller-ready"}


@pytest.mark.django_db
@pytest.mark.parametrize(
    "moment", ["2026-11-29 03:00", "2026-11-28 22:30", "2026-12-25 18:10", "2027-06-09 06:31", "2026-11-25 14:59"]
)
def test_whoever_starts_it_first_finds_it_busy(moment):
    """A Sunday before dawn, a Saturday night, Christmas Day, a summer morning, the last minute not moved."""
    now = instant(moment)
    told(founded_to_play(now), now)
    assert not TrailRow.objects.filter(at__gt=now).exists()
    states_now = set(Visit.objects.values_list("state", flat=True))
    assert {states.ON_THE_ROLLERS, states.ON_THE_BENCH, states.HERE} <= states_now
    assert Gate.objects.filter(ended_at__isnull=False, passed=False, visit__state=states.ON_THE_BENCH).count() == 1
    assert Offer.objects.filter(answer="", open_until__gt=now).count() == 1
    assert Clip.objects.filter(state=Clip.HEARD).count() == 1
    left = [left_on(invoice) for invoice in Invoice.objects.filter(credit_note=None, visit__isnull=False)]
    assert 0 in left
    assert max(left) > 0
    page = day_page(the_shop().local_time.day(now), the_shop(), now=now)
    assert not page.closed
    assert page.drawing.bars


@pytest.mark.django_db
def test_the_command_prints_the_log_ins_that_work_and_nothing_else():
    said = StringIO()
    call_command("demo", stdout=said)
    first, *lines = said.getvalue().splitlines()
    assert "invented" in first
    for line in lines:
        username, password, *_ = line.split()
        assert authenticate(username=username, password=password) == Person.objects.get(username=username)
    assert len(lines) == Person.objects.count() == 3


@pytest.mark.django_db
def test_a_garage_that_is_not_empty_is_left_alone():
    factory.shop()
    with pytest.raises(CommandError, match="empty database"):
        call_command("demo")
    assert not VisitKind.objects.exists()
    assert not Visit.objects.exists()
