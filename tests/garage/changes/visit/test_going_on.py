"""A machine left with us waits in the building: its owner is asked, or has agreed, and it takes the rollers."""

from __future__ import annotations

from datetime import timedelta

import pytest

from garage.changes.day import routes as route_changes
from garage.changes.day import steps
from garage.changes.day.selling import TimeTaken
from garage.changes.visit import bookings, gate_results, going_on, offers, owner_choices, standby, visits
from garage.core import states
from garage.core.errors import Refused
from garage.models.actors import OWNER, SYSTEM
from garage.models.messages import Message
from garage.models.standby import FreedTime, Offer
from garage.models.visits import Hold, Step, Visit
from garage.pages.to_tell import lines_to_tell
from garage.reads import free
from garage.reads.freed import freed_minutes
from garage.reads.shop import the_shop
from garage.tasks import send_all_due
from tests.factories import booking, garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
H, MIN = timedelta(hours=1), timedelta(minutes=1)


@pytest.fixture
def today(start):
    """Two hours before the visit that will give its time back."""
    return start - 2 * H


@pytest.fixture
def left(kind, start):
    """A machine left with us the day before, put right, and through the gate at the bench."""

    def make(hour=9, **given):
        at, mail = booking.at_local(booking.workday(ahead=9), hour), f"left{hour}@example.org"
        return booking.left_with_us(kind, at, now=start - 2 * H, **{"email": mail} | given)

    return make


def fresh(visit):
    return Visit.objects.get(pk=visit.pk)


def asked(visit):
    return Offer.objects.get(visit=visit)


def mails(visit):
    return list(Message.objects.filter(visit=visit).order_by("pk").values_list("what", flat=True))


def called_off(visit, now):
    visits.call_off_by_owner(visit, why="", now=now)
    offers.offer_all_due(now=now)
    return FreedTime.objects.order_by("-pk")[0]


def on_standby(kind, now, hour=14):
    made = booking.booked(kind, booking.at_local(booking.workday(ahead=9), hour), email=f"sooner{hour}@example.org")
    standby.ask(made, notice_hours=0, weekdays=range(7), by=OWNER, now=now)
    return made


def test_its_owner_is_asked_by_mail_until_a_stated_time_and_a_yes_gives_it_the_rollers(visit, left, start, today):
    waits = left()
    row = called_off(visit, today)
    offer = asked(waits)
    assert (offer.in_the_building, offer.open_until, offer.answer) == (True, today + 20 * MIN, "")
    assert row.hold.expires_at == today + 40 * MIN  # and then those on standby have theirs
    mail = Message.objects.get(visit=waits, what="may_go_on")
    for words in ("May the work go on?", f"/offer/{offer.pk}/", "costs £120.00, as booked", "by "):
        assert words in mail.text
        assert words.replace("?", "") in mail.html
    assert waits.trail.filter(did__startswith="its owner is asked whether the work may go on, until").exists()
    offers.offer_all_due(now=today + MIN)
    assert Offer.objects.count() == 1
    given = offers.accept(offer, by=OWNER, now=today + 5 * MIN)
    assert (given.at, given.starts_at, given.state, given.pieces.count()) == ("roller", start, states.HERE, 18)
    assert (asked(waits).answer, asked(waits).answered_at) == (Offer.YES, today + 5 * MIN)
    assert mails(waits)[-1] == "goes_on"
    assert FreedTime.objects.get().closed_at == today + 5 * MIN
    assert not Hold.objects.exists()
    assert waits.price == given.price


def test_a_no_hands_it_to_the_owners_on_standby_at_once_and_it_stays_here(visit, kind, left, today):
    waits, sooner = left(), on_standby(kind, today)
    called_off(visit, today)
    assert not Offer.objects.filter(visit=sooner).exists()
    offers.decline(asked(waits), by=OWNER, now=today + 5 * MIN)
    check_noted("the work is not to go on yet", by=OWNER, at=today + 5 * MIN, visit=waits)
    offers.offer_all_due(now=today + 5 * MIN)
    offer = asked(sooner)
    assert (offer.in_the_building, offer.open_until) == (False, today + 25 * MIN)
    assert (fresh(waits).starts_at, fresh(waits).state) == (None, states.HERE)
    offers.offer_all_due(now=today + 25 * MIN)
    assert FreedTime.objects.get().closed_at == today + 25 * MIN


def test_without_an_answer_in_time_it_goes_on_to_standby_and_a_late_yes_is_told_so(visit, kind, left, start, today):
    waits, sooner = left(), on_standby(kind, today)
    called_off(visit, today)
    late = today + 20 * MIN
    offers.offer_all_due(now=late)
    assert asked(sooner).open_until == late + 20 * MIN
    for answer in (offers.accept, offers.decline):
        with refuses(offers.GONE_FROM_HERE):
            answer(asked(waits), by=OWNER, now=late)
    assert offers.accept(asked(sooner), by=OWNER, now=late + MIN).starts_at == start
    assert asked(waits).answer == Offer.LAPSED


def test_while_it_is_asked_nobody_else_can_book_the_time(visit, kind, left, start, today):
    left()
    called_off(visit, today)
    with pytest.raises(TimeTaken):
        bookings.book_at_the_desk(booking.draft(kind, start), by=garage.boss(), now=today + 19 * MIN)


def test_whose_owner_has_agreed_is_given_it_and_told(visit, left, start, today):
    waits, asks = left(may_go_on=today - H), left(hour=14)
    called_off(visit, today)
    offer = asked(waits)
    assert (offer.answer, offer.in_the_building, offer.answered_at) == (Offer.GIVEN, True, today)
    assert fresh(waits).starts_at == start
    mail = Message.objects.filter(visit=waits).first()
    assert mail.what == "goes_on"
    assert "You said that we may go on when they come free." in mail.text
    assert "be there at" not in mail.text
    assert fresh(asks).starts_at is None
    assert not Offer.objects.filter(visit=asks).exists()


def test_agreeing_while_asked_is_a_yes(visit, left, start, today):
    waits = left()
    called_off(visit, today)
    going_on.agree(waits, by=OWNER, now=today + MIN)
    check_noted("may go on with the rollers when they come free", by=OWNER, at=today + MIN, visit=waits)
    offers.offer_all_due(now=today + MIN)
    assert (fresh(waits).starts_at, asked(waits).answer) == (start, Offer.GIVEN)


def test_what_was_agreed_can_be_taken_back_until_it_has_the_time(visit, left, today):
    waits = left(may_go_on=today - H)
    assert going_on.take_back(waits, by=OWNER, now=today).may_go_on_from is None
    check_noted("is asked again before it goes on the rollers", by=OWNER, at=today, visit=waits)
    with refuses("That was not agreed, or is taken back already: we ask before it goes on the rollers."):
        going_on.take_back(waits, by=OWNER, now=today)
    called_off(visit, today)
    assert (asked(waits).answer, fresh(waits).starts_at) == ("", None)


def test_taken_back_between_the_look_and_the_giving_it_is_asked(visit, left, today):
    waits = left(may_go_on=today - H)
    visits.call_off_by_owner(visit, why="", now=today)
    [row], [one] = offers.being_offered(), offers.on_standby("roller")
    going_on.take_back(waits, by=OWNER, now=today)
    offers.give(row, one, now=today)
    assert fresh(waits).starts_at is None
    offers.offer_all_due(now=today)
    assert asked(waits).is_open(today)


def test_only_what_waits_here_for_the_rollers_has_something_to_agree(visit, left, today):
    with refuses(f"Visit {visit.number} does not wait here for the rollers: there is nothing to agree."):
        going_on.agree(visit, by=OWNER, now=today)
    waits = left()
    Visit.objects.filter(pk=waits.pk).update(at="roller", starts_at=today, minutes=90)
    with pytest.raises(Refused, match="does not wait here"):
        going_on.agree(waits, by=OWNER, now=today)
    assert going_on.agree(left(hour=14), by=garage.boss(), now=today).may_go_on_from == today


def test_agreed_again_the_first_word_stays(left, today):
    waits = left(may_go_on=today - H)
    assert going_on.agree(waits, by=OWNER, now=today).may_go_on_from == today - H
    assert not waits.trail.filter(did__startswith="may go on").exists()


def test_the_tick_when_leaving_it_agrees_and_the_mail_says_so(visit, start):
    garage.shop(choose_hours=24, floor_places=2)
    now = start - 80 * H
    for may_go_on, hour, words in ((True, 9, "you need do nothing"), (False, 14, "we ask you first")):
        made = booking.booked(visit.kind, booking.at_local(booking.workday(ahead=9), hour))
        route_changes.ask_the_owner(made, reasons=[], ready_chance=0.3, bench_minutes=50, by=SYSTEM, now=now)
        at = free.free_days(free.asked_to_leave_it(made, the_shop()), count=1, now=now)[0].times[0]
        made = owner_choices.leave_with_us(made, starts_at=at, limit_pounds=90, may_go_on=may_go_on, now=now)
        assert (fresh(made).may_go_on_from is not None) is may_go_on
        assert words in Message.objects.filter(visit=made).first().text


@pytest.mark.parametrize(
    "found",
    [
        {"must_not_run": ["It pinks."]},
        {"route": "do-not-run"},
        {"gate_at_bench_passed_at": None},
        {"state": states.WAITING_FOR_PARTS},
        {"state": states.READY},
    ],
)
def test_what_must_not_run_or_waits_for_something_else_is_neither_asked_nor_given_it(visit, left, today, found):
    waits, agreed = left(), left(hour=14, may_go_on=today - H)
    Visit.objects.filter(pk__in=[waits.pk, agreed.pk]).update(**found)
    called_off(visit, today)
    assert not Offer.objects.exists()
    assert fresh(agreed).starts_at is None


def test_what_is_found_after_the_question_stops_the_yes(visit, left, today):
    waits = left()
    called_off(visit, today)
    Visit.objects.filter(pk=waits.pk).update(must_not_run=["It pinks."])
    with pytest.raises(Refused):
        offers.accept(asked(waits), by=OWNER, now=today + MIN)
    assert fresh(waits).starts_at is None


def test_of_two_that_are_asked_the_first_yes_has_it_and_the_other_reads_so(visit, left, start, today):
    first, second = left(), left(hour=14)
    called_off(visit, today)
    assert offers.accept(asked(second), by=OWNER, now=today + MIN).starts_at == start
    with refuses(offers.GONE_FROM_HERE):
        offers.accept(asked(first), by=OWNER, now=today + 2 * MIN)
    assert (asked(first).answer, fresh(first).starts_at) == (Offer.GONE, None)


def test_what_passes_its_gate_once_the_time_is_on_sale_to_everybody_is_still_asked(visit, left, start, today):
    waits = left(passed=False)
    row = called_off(visit, today)
    assert (row.hold, row.closed_at) == (None, today)
    by, then = garage.boss(), today + 30 * MIN
    gate_results.passed_at_the_bench(waits, by=by, now=then)
    offers.offer_all_due(now=then)
    row = FreedTime.objects.get()
    assert (row.kept_from, row.closed_at, asked(waits).open_until) == (then, None, then + 20 * MIN)
    assert offers.accept(asked(waits), by=OWNER, now=then + MIN).starts_at == start


def test_what_was_sold_meanwhile_is_gone_and_is_looked_at_once(visit, kind, left, start, today):
    waits = left(passed=False)
    called_off(visit, today)
    booking.booked(kind, start)
    then = today + 30 * MIN
    gate_results.passed_at_the_bench(waits, by=garage.boss(), now=then)
    offers.offer_all_due(now=then)
    row = FreedTime.objects.get()
    assert (row.hold, row.closed_at) == (None, then)
    assert not Offer.objects.exists()
    offers.offer_all_due(now=then + MIN)
    assert FreedTime.objects.get().closed_at == then


def test_a_whole_time_too_near_for_anybody_who_is_still_to_come_is_kept_for_what_is_here(visit, left, start):
    now = start - 12 * MIN
    waits = left(may_go_on=now - H)
    called_off(visit, now)
    assert fresh(waits).starts_at == start


def on_the_rollers(visit, start):
    by = garage.boss()
    Visit.objects.filter(pk=visit.pk).update(
        state=states.HERE, arrived_at=start - H, gate_at_bench_passed_at=start - H, gate_passed_at=start - H
    )
    Step.objects.filter(visit=visit, is_check=True).delete()
    step = Step.objects.get(visit=visit, at="roller")
    return steps.begin(step, by=by, now=start, station=1), by


def short(left, minutes=30, **given):
    made = left(**given)
    made.kind = garage.visit_kind(slug=f"run-{minutes}", name="Power run", minutes=minutes)
    made.save()
    Step.objects.filter(visit=made).update(minutes=minutes)
    return made


def test_what_a_session_leaves_of_its_time_goes_to_a_machine_in_the_building(visit, left, start):
    waits = short(left, may_go_on=start - H)
    step, by = on_the_rollers(visit, start)
    now = start + 40 * MIN
    steps.end(step, by=by, now=now)
    row = FreedTime.objects.get()
    assert (row.why, row.starts_at, row.minutes, row.price) == (FreedTime.EARLY, start + 45 * MIN, 45, 0)
    offers.offer_all_due(now=now)
    assert fresh(waits).starts_at == start + 45 * MIN
    assert fresh(visit).starts_at == start  # its agreed time stays on record
    assert freed_minutes(now=now + 3 * H).minutes == 0  # it had its session: nothing was given back


def test_what_a_session_leaves_stays_with_it_while_nobody_could_use_it(visit, left, start):
    left(may_go_on=start - H)  # needs 90 minutes
    step, by = on_the_rollers(visit, start)
    steps.end(step, by=by, now=start + 40 * MIN)
    assert not FreedTime.objects.exists()
    assert visit.pieces.count() == 18


def test_a_session_that_ended_in_time_leaves_nothing(visit, left, start):
    short(left, may_go_on=start - H)
    step, by = on_the_rollers(visit, start)
    steps.end(step, by=by, now=start + 88 * MIN)
    assert not FreedTime.objects.exists()


def test_what_failed_its_gate_on_the_rollers_leaves_the_rest_to_a_machine_in_the_building(visit, left, start):
    waits = short(left, may_go_on=start - H)
    Visit.objects.filter(pk=visit.pk).update(state=states.ON_THE_ROLLERS, arrived_at=start - H)
    now = start + 10 * MIN
    gate_results.failed(fresh(visit), reasons=["The chain is off."], bench_minutes=40, by=garage.boss(), now=now)
    assert [(row.starts_at, row.minutes) for row in FreedTime.objects.all()] == [
        (start, 15),
        (start + 15 * MIN, 75),
    ]
    offers.offer_all_due(now=now)
    assert fresh(waits).starts_at == start + 15 * MIN


def test_of_a_time_that_has_begun_it_goes_on_as_soon_as_there_is_a_yes(visit, left, start):
    waits = short(left)
    now = start + 16 * MIN
    visits.did_not_come(visit, by=garage.boss(), now=now)
    offers.offer_all_due(now=now)
    assert asked(waits).open_until == now + 20 * MIN
    given = offers.accept(asked(waits), by=OWNER, now=start + 33 * MIN)
    assert (given.starts_at, given.minutes) == (start + 40 * MIN, 30)


def test_an_owner_without_mail_is_rung_with_the_words_ready_and_answers_at_the_desk(visit, left, start, today):
    waits = left(email="")
    called_off(visit, today)
    send_all_due(lambda: today)
    [line] = (told for told in lines_to_tell(the_shop(), now=today + MIN) if told.message.what == "may_go_on")
    assert line.visit == waits
    assert f"ring {the_shop().telephone}" in line.words
    assert offers.accept(asked(waits), by=garage.front_desk(), now=today + 5 * MIN).starts_at == start
    assert not [told for told in lines_to_tell(the_shop(), now=today + 6 * MIN) if told.message.what == "may_go_on"]
