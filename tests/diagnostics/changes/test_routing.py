"""What a route does to the time of a visit, and what its owner is told."""

import pytest
from django.utils import timezone

from diagnostics.changes import routing
from diagnostics.core.telling.owner_words import to_ask_words
from diagnostics.reads.bank import the_bank
from diagnostics.reads.judgement import latest
from garage.core import routes, states
from garage.core.time.local_time import LocalTime
from garage.models.actors import SYSTEM
from garage.models.messages import Message
from garage.models.visits import SoldPiece, Step
from garage.reads.routed import routed, to_ring
from tests.factories import garage
from tests.factories.diagnostics import (
    FALSE_CEILING,
    HEALTHY,
    MERELY_RICH,
    PINKING,
    answered,
    mails_about,
    sheet_sent,
    visit_to_judge,
)
from tests.sentences import check_noted

pytestmark = pytest.mark.django_db


def test_fix_first_gives_the_slot_back_where_the_shop_lets_it_act_alone():
    visit = visit_to_judge(fix_first_acts_alone=True)
    judgement = sheet_sent(visit, FALSE_CEILING)
    assert judgement.route == routes.FIX_FIRST
    assert (visit.state, visit.starts_at, visit.at) == (states.TO_PUT_RIGHT, None, "")
    assert not SoldPiece.objects.exists()
    assert list(routed().to_fix_first) == [visit]
    assert visit.route_reasons
    assert visit.bench_minutes == Step.objects.get(visit=visit, what="fix first").minutes
    assert visit.bench_minutes % 5 == 0
    assert 15 <= visit.bench_minutes_from <= visit.bench_minutes <= visit.bench_minutes_to
    told = Message.objects.get(visit=visit)
    assert told.what == "sheet_outcome_fix_first"
    assert "Your deposit of £30.00 is kept as credit" in " ".join(told.text.split())
    assert "%" not in told.text  # no bare probability as a diagnosis


def test_what_it_costs_is_told_in_the_shops_money_where_no_page_has_set_it():
    visit = visit_to_judge(fix_first_acts_alone=True, currency="EUR")
    sheet_sent(visit, FALSE_CEILING)
    text = Message.objects.get(visit=visit).text
    assert "€" in text
    assert "£" not in text


def test_the_time_given_back_leaves_the_owners_diary_and_page():
    visit = visit_to_judge(fix_first_acts_alone=True)
    had = LocalTime.named("Europe/London").in_words(visit.starts_at)
    sheet_sent(visit, FALSE_CEILING)
    told = Message.objects.get(visit=visit)
    content = bytes(told.enclosures.get().content).decode()
    assert "METHOD:CANCEL" in content
    assert f"UID:{visit.calendar_uid}" in content
    assert f"SEQUENCE:{visit.calendar_sequence}" in content
    assert visit.calendar_sequence == 1
    assert had not in told.text


def test_phone_first_keeps_the_slot_and_says_what_to_ask():
    kind = garage.visit_kind(slug="power-run", booked_as="power-run", name="Power run")
    visit = visit_to_judge(kind, phone_first_acts_alone=True)
    judgement = sheet_sent(visit, MERELY_RICH)
    assert judgement.route == routes.PHONE_FIRST  # manual of `assess`: rich on a power run, offer a set-up
    assert visit.starts_at is not None
    assert list(to_ring()) == [visit]
    assert visit.to_ask[0].startswith("Offer a set-up")
    assert mails_about(visit) == ["sheet_outcome_phone_first"]


def test_a_bench_visit_keeps_its_bench_time():
    kind = garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
    visit = visit_to_judge(kind, fix_first_acts_alone=True)
    sheet_sent(visit, HEALTHY)
    assert (visit.route, visit.at, visit.state) == (routes.FIX_FIRST, "bench", states.BOOKED)
    assert visit.starts_at is not None


def test_do_not_run_acts_on_its_own_if_the_shop_says_so():
    visit = visit_to_judge(do_not_run_acts_alone=True)
    sheet_sent(visit, PINKING)
    assert (visit.route, visit.starts_at) == (routes.DO_NOT_RUN, None)
    assert mails_about(visit) == ["sheet_outcome_do_not_run"]


def test_each_route_says_whether_the_shop_wants_to_be_asked():
    visit = visit_to_judge(fix_first_acts_alone=True, phone_first_acts_alone=False, do_not_run_acts_alone=True)
    asked = {route: routing.asks_first(visit, route) for route in routes.WORDS}
    assert asked == {"roller-ready": False, "fix-first": False, "phone-first": True, "do-not-run": False}
    garage.shop(fix_first_acts_alone=False, phone_first_acts_alone=True, do_not_run_acts_alone=False)
    asked = {route: routing.asks_first(visit, route) for route in routes.WORDS}
    assert asked == {"roller-ready": False, "fix-first": True, "phone-first": False, "do-not-run": True}
    visit.route = routes.ROLLER_READY
    assert routing.asks_first(visit, routes.PHONE_FIRST)
    assert not routing.asks_first(visit, routes.ROLLER_READY)


def test_what_is_left_open_is_asked_on_the_telephone():
    visit = visit_to_judge(phone_first_acts_alone=True)
    judgement = sheet_sent(visit, HEALTHY | {"rev_out": "not-tried"}).judgement
    left = to_ask_words(the_bank(), judgement, ["rev_out"])
    assert routing.to_ask(visit, judgement) == left != to_ask_words(the_bank(), judgement, [])
    now = timezone.now()
    routing.go(visit, judgement, route=routes.PHONE_FIRST, by=SYSTEM, now=now)
    visit.refresh_from_db()
    assert visit.to_ask == left
    check_noted("routed: phone first", by=SYSTEM, at=now, visit=visit, reasons=routing.reasons(judgement))


def test_a_visit_on_its_route_already_is_brought_up_to_date_without_another_mail():
    visit = visit_to_judge(fix_first_acts_alone=True)
    judgement, now = sheet_sent(visit, FALSE_CEILING).judgement, timezone.now()
    routing.go(visit, judgement, route=routes.FIX_FIRST, by=SYSTEM, now=now)
    assert mails_about(visit) == ["sheet_outcome_fix_first"]
    visit.refresh_from_db()
    assert visit.route_at == now
    visit.route_asked = routes.FIX_FIRST
    routing.go(visit, judgement, route=routes.FIX_FIRST, by=SYSTEM, now=now)
    assert mails_about(visit) == ["sheet_outcome_fix_first"] * 2
    mail = Message.objects.first()
    assert (mail.to, mail.written_at) == (visit.owner.email, now)


def test_only_what_must_not_run_is_warned_of_at_once():
    visit, now = visit_to_judge(), timezone.now()
    for answers, said in ((HEALTHY, []), (PINKING, ["sheet_outcome_do_not_run"])):
        answered(visit, answers)
        routing.warn_if_it_must_not_run(visit, latest(visit).judgement, now=now)
        assert mails_about(visit) == said
    assert Message.objects.get().written_at == now
