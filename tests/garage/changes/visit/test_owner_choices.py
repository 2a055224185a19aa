"""Fix first: the owner chooses, the owner is rung, or nobody answers."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.day import routes as route_changes
from garage.changes.day.selling import TimeTaken
from garage.changes.visit import owner_choices, visits
from garage.core import routes, states
from garage.core.errors import Refused
from garage.core.selling.owner_choice import ASKED, MYSELF, TO_ASK, WITH_US
from garage.models.actors import OWNER, SYSTEM
from garage.models.messages import Message
from garage.models.shop import Station
from garage.models.visits import SoldPiece, TakeIn, Visit
from garage.reads import free
from garage.reads.routed import routed, to_ring
from garage.reads.shop import the_shop
from tests.factories import booking, garage
from tests.sentences import check_noted

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def now(start):
    return start - 80 * HOUR


def asked(visit, now, **shop):
    garage.shop(**{"choose_hours": 24} | shop)
    return route_changes.ask_the_owner(
        visit, reasons=["It hits a ceiling."], ready_chance=0.3, bench_minutes=50, by=SYSTEM, now=now
    )


def bench_time(visit, now):
    at = free.free_days(free.asked_to_leave_it(visit, the_shop()), count=1, now=now)[0].times[0]
    assert at > now
    return at


def fresh(visit):
    return Visit.objects.get(pk=visit.pk)


def last_mail(visit):
    return Message.objects.filter(visit=visit).first()


def test_the_owner_is_asked_and_keeps_the_time_until_then(visit, start, now):
    visit = asked(visit, now)
    assert (visit.choice, visit.choose_by, visit.route) == (ASKED, now + 24 * HOUR, routes.FIX_FIRST)
    assert (visit.state, visit.starts_at, visit.pieces.count(), visit.to_ask) == (states.BOOKED, start, 18, [])
    assert [step.what for step in visit.steps.all()] == ["gate", "set-up"]  # no bench work before it is decided
    assert list(routed().to_fix_first) == [visit]


def test_asked_again_the_limit_stays_as_it_was(visit, now):
    asked(visit, now)
    again = asked(visit, now + 5 * HOUR)
    assert (again.choose_by, again.choice) == (now + 24 * HOUR, ASKED)


def test_with_little_time_left_a_person_rings(visit, start):
    visit = asked(visit, start - 30 * HOUR)
    assert (visit.choose_by, visit.choice, visit.to_ask) == (None, ASKED, list(TO_ASK))
    assert list(to_ring()) == [visit]
    assert owner_choices.act_on_silence(now=start - HOUR) == 0
    assert fresh(visit).starts_at == start


def test_without_an_answer_the_route_acts_and_somebody_else_can_have_the_time(visit, kind, start, now):
    asked(visit, now)
    assert owner_choices.act_on_silence(now=now + 24 * HOUR - timedelta(seconds=1)) == 0
    silent = now + 24 * HOUR
    assert owner_choices.act_on_silence(now=silent) == 1
    visit = fresh(visit)
    assert (visit.choice, visit.choose_by, visit.state, visit.starts_at) == ("", None, states.TO_PUT_RIGHT, None)
    assert (visit.route, visit.bench_minutes, visit.route_at) == (routes.FIX_FIRST, 50, silent)
    assert not SoldPiece.objects.exists()
    mail = last_mail(visit)
    assert (mail.what, booking.diary(mail)[0]) == ("time_given_back", "CANCEL")
    assert "We have not heard" in mail.text
    assert owner_choices.act_on_silence(now=silent) == 0
    assert Message.objects.filter(what="time_given_back").count() == 1
    assert booking.booked(kind, start).starts_at == start


@pytest.mark.parametrize("state", [states.HERE, states.CALLED_OFF])
def test_nobodys_time_is_given_back_once_it_is_here_or_over(visit, now, state):
    asked(visit, now)
    Visit.objects.filter(pk=visit.pk).update(state=state)
    assert owner_choices.act_on_silence(now=now + 30 * HOUR) == 0


def test_a_person_who_rang_gives_the_time_back_at_once(visit, now):
    asked(visit, now)
    by, then = garage.boss(), now + HOUR
    visit = owner_choices.give_the_time_back(visit, by=by, now=then)
    check_noted("routed: fix first", by=by, at=then, visit=visit, reasons=["It hits a ceiling."])
    assert (visit.state, visit.choice) == (states.TO_PUT_RIGHT, "")
    with pytest.raises(Refused, match="not asked any more"):
        owner_choices.give_the_time_back(visit, by=by, now=then)


def test_an_owner_who_puts_it_right_gives_the_time_back_and_is_told_what_to_try(visit, now):
    asked(visit, now)
    then = now + HOUR
    visit = owner_choices.fix_it_yourself(visit, guides=(), by=OWNER, now=then)
    check_noted("fix first: its owner puts it right", by=OWNER, at=then, visit=visit)
    assert (visit.choice, visit.chosen_at, visit.choose_by) == (MYSELF, then, None)
    assert (visit.state, visit.starts_at, visit.route) == (states.TO_PUT_RIGHT, None, routes.FIX_FIRST)
    assert fresh(visit).choice == MYSELF
    mail = last_mail(visit)
    assert (mail.what, booking.diary(mail)[0]) == ("to_fix_at_home", "CANCEL")
    assert "/guide/" in mail.text
    assert owner_choices.act_on_silence(now=now + 30 * HOUR) == 0


def test_an_owner_who_was_to_be_rung_and_chose_by_the_link_is_off_the_list(visit, start):
    asked(visit, start - 30 * HOUR)
    owner_choices.fix_it_yourself(visit, guides=(), by=OWNER, now=start - 29 * HOUR)
    assert list(to_ring()) == []


def test_left_with_us_it_has_bench_time_its_limit_and_the_rollers_after_the_gate(visit, kind, start, now):
    asked(visit, now)
    at = bench_time(visit, now)
    visit = owner_choices.leave_with_us(visit, starts_at=at, limit_pounds=90, may_go_on=False, now=now)
    assert (visit.choice, visit.state, visit.at, visit.starts_at, visit.minutes) == (
        WITH_US,
        states.BOOKED,
        "bench",
        at,
        50,
    )
    assert visit.bench_limit_pounds == fresh(visit).bench_limit_pounds == 90
    assert [(s.what, s.at, s.minutes) for s in visit.steps.all()] == [
        ("fix first", "bench", 50),
        ("gate", "bench", 20),
        ("set-up", "roller", 90),
    ]
    assert set(visit.pieces.values_list("at", flat=True)) == {"bench"}
    mail = last_mail(visit)
    assert (mail.what, booking.diary(mail)[3]) == ("left_with_us", at)
    assert "£90" in mail.text
    assert booking.booked(kind, start).starts_at == start  # its time on the rollers is somebody else's


def test_the_last_floor_place_goes_to_one_machine(visit, kind, start, now):
    other = booking.booked(kind, booking.at_local(booking.workday(ahead=5), 14))
    for one in (visit, other):
        asked(one, now, floor_places=1)
    owner_choices.leave_with_us(visit, starts_at=bench_time(visit, now), limit_pounds=90, may_go_on=False, now=now)
    with pytest.raises(Refused, match="no room for another machine"):
        owner_choices.leave_with_us(other, starts_at=bench_time(other, now), limit_pounds=90, may_go_on=False, now=now)
    assert fresh(other).starts_at == other.starts_at
    assert fresh(other).bench_limit_pounds is None


def test_a_machine_that_stands_here_overnight_takes_a_place(visit, now):
    asked(visit, now, floor_places=1)
    here = garage.visit(state=states.HERE, arrived_at=now)
    TakeIn.objects.create(visit=here, at=now, by=garage.person(), how_it_came="van", stays_overnight=True)
    with pytest.raises(Refused, match="no room"):
        owner_choices.leave_with_us(visit, starts_at=bench_time(visit, now), limit_pounds=90, may_go_on=False, now=now)
    Visit.objects.filter(pk=here.pk).update(state=states.COLLECTED)
    assert owner_choices.leave_with_us(
        visit, starts_at=bench_time(visit, now), limit_pounds=90, may_go_on=False, now=now
    ).is_left_with_us


def test_bench_time_that_somebody_has_is_refused_and_everything_stays(visit, start, now):
    asked(visit, now)
    Station.objects.filter(kind="bench", number=2).delete()
    check = garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
    at = bench_time(visit, now)
    booking.booked(check, at)
    with pytest.raises(TimeTaken):
        owner_choices.leave_with_us(visit, starts_at=at, limit_pounds=90, may_go_on=False, now=now)
    assert (fresh(visit).choice, fresh(visit).starts_at) == (ASKED, start)


def test_an_owner_picks_a_new_time_once_it_is_judged_ready_again(visit, now):
    asked(visit, now)
    visit = owner_choices.fix_it_yourself(visit, guides=(), by=OWNER, now=now)
    at = booking.at_local(booking.workday(ahead=6), 14)
    with pytest.raises(Refused, match="First the check sheet again"):
        owner_choices.take_time(visit, starts_at=at, now=now)
    route_changes.roller_ready(visit, reasons=[], ready_chance=0.9, by=SYSTEM, now=now)
    visit = owner_choices.take_time(visit, starts_at=at, now=now)
    assert (visit.state, visit.at, visit.starts_at, visit.choice) == (states.BOOKED, "roller", at, MYSELF)
    assert [step.what for step in visit.steps.all()] == ["gate", "set-up"]
    assert last_mail(visit).what == "visit_time_given"
    with pytest.raises(Refused, match="has a time already"):
        owner_choices.take_time(visit, starts_at=at, now=now)


def test_what_is_found_not_to_run_is_looked_at_by_the_bench_whoever_mends_it(visit, now):
    asked(visit, now)
    visit = owner_choices.fix_it_yourself(visit, guides=(), by=OWNER, now=now)
    visit = route_changes.do_not_run(visit, reasons=["It pinks."], bench_minutes=60, by=SYSTEM, now=now)
    assert visit.choice == ""


def test_an_owner_who_is_asked_does_not_move_the_time_instead(visit, start):
    asked(visit, start - 80 * HOUR)
    with pytest.raises(Refused, match="choose how first"):
        visits.move_by_owner(visit, starts_at=start + HOUR, now=timezone.now())


@pytest.mark.parametrize("route", ["roller_ready", "ring"])
def test_another_route_asks_the_owner_no_more(visit, now, route):
    asked(visit, now)
    given = {"ready_chance": 0.9} if route == "roller_ready" else {"to_ask": ["Is it loud?"]}
    visit = getattr(route_changes, route)(visit, reasons=[], by=SYSTEM, now=now, **given)
    assert (visit.choice, visit.choose_by) == ("", None)
    assert fresh(visit).choice == ""
