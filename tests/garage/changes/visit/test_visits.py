"""A visit is moved, given a time, called off, or did not come; each with its trail, message and diary file."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from garage import events
from garage.changes.day import selling, steps
from garage.changes.mail import worded
from garage.changes.visit import gate_results, owner_choices, standby, visits
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.mail.wording import NO_SHOW, WORDED
from garage.models.actors import OWNER
from garage.models.messages import Message
from garage.models.owners import Owner
from garage.models.shop import Shop
from garage.models.standby import FreedTime
from garage.models.trail import TrailRow
from garage.models.visits import Day, Visit
from garage.pages.to_tell import lines_to_tell
from garage.reads.shop import the_shop
from tests.factories import booking, garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def test_a_move_sells_the_new_time_and_frees_the_old_one(visit, kind, start):
    by = garage.front_desk()
    later = start + timedelta(hours=4)
    moved = visits.move(visit, starts_at=later, by=by, now=timezone.now())
    assert (moved.starts_at, moved.pieces.count()) == (later, 18)
    assert booking.booked(kind, start).starts_at == start


def test_a_move_to_a_time_that_overlaps_the_old_one_is_not_in_its_own_way(visit, start):
    moved = visits.move(visit, starts_at=start + timedelta(minutes=30), by=garage.front_desk(), now=timezone.now())
    assert moved.starts_at == start + timedelta(minutes=30)


def test_a_move_to_a_taken_time_leaves_everything_as_it_was(visit, kind, start):
    other = booking.booked(kind, start + timedelta(hours=4))
    before = Message.objects.count()
    with pytest.raises(selling.TimeTaken):
        visits.move(visit, starts_at=other.starts_at, by=garage.front_desk(), now=timezone.now())
    visit.refresh_from_db()
    assert (visit.starts_at, visit.pieces.count(), visit.calendar_sequence) == (start, 18, 0)
    assert Message.objects.count() == before


def test_a_move_is_mailed_with_the_same_uid_and_a_higher_sequence(visit, start):
    later = start + timedelta(hours=4)
    visits.move(visit, starts_at=later, by=garage.front_desk(), now=timezone.now())
    message = Message.objects.get(what="visit_moved")
    assert booking.diary(message) == ("PUBLISH", str(visit.calendar_uid), 1, later)


def test_an_owner_moves_until_a_day_before_and_then_has_to_ring(visit, start):
    moved = visits.move_by_owner(visit, starts_at=start + timedelta(hours=4), now=timezone.now())
    assert TrailRow.objects.filter(visit=visit, did__startswith="moved").get().by_words == "the owner"
    Visit.objects.filter(pk=visit.pk).update(starts_at=timezone.now() + timedelta(hours=23))
    with pytest.raises(Refused, match="less than a day away: ring 01632 960100"):
        visits.move_by_owner(moved, starts_at=start, now=timezone.now())


def test_the_workshop_moves_what_is_less_than_a_day_away_in_its_own_name(visit, start):
    Visit.objects.filter(pk=visit.pk).update(starts_at=timezone.now() + timedelta(hours=23))
    by = garage.front_desk(first_name="Sam")
    visits.move(visit, starts_at=start, by=by, now=timezone.now())
    assert TrailRow.objects.filter(visit=visit, did__startswith="moved").get().by == by


def test_an_owner_moves_only_to_what_can_be_booked_online(visit, start):
    garage.shop(notice_minutes=60 * 24 * 20)
    later = start + timedelta(hours=4)
    with pytest.raises(Refused, match="too soon"):
        visits.move_by_owner(visit, starts_at=later, now=timezone.now())
    assert visits.move(visit, starts_at=later, by=garage.front_desk(), now=timezone.now()).starts_at == later


@pytest.mark.parametrize("state", [states.COLLECTED, states.CALLED_OFF])
def test_a_visit_that_is_over_cannot_be_moved(visit, start, state):
    Visit.objects.filter(pk=visit.pk).update(state=state)
    with pytest.raises(Refused, match="no time to move"):
        visits.move(visit, starts_at=start + timedelta(hours=4), by=garage.front_desk(), now=timezone.now())
    with pytest.raises(Refused, match="can't be moved here"):
        visits.move_by_owner(visit, starts_at=start + timedelta(hours=4), now=timezone.now())


@pytest.mark.parametrize("change", [visits.move, visits.give_time, visits.call_off, visits.did_not_come])
def test_no_change_of_the_workshop_is_made_without_a_name(visit, start, change):
    given = {visits.move: {"starts_at": start}, visits.call_off: {"why": ""}}
    given[visits.give_time] = {"at": "roller", "starts_at": start, "minutes": 90}
    with pytest.raises(TypeError, match="'by'"):
        change(visit, **given.get(change, {}))


def test_calling_off_frees_the_time_and_takes_it_out_of_the_diary(visit, kind, start):
    off = visits.call_off_by_owner(visit, why="sold the machine", now=timezone.now())
    assert (off.state, off.starts_at, off.called_off_why) == (states.CALLED_OFF, None, "sold the machine")
    message = Message.objects.get(what="visit_called_off")
    assert booking.diary(message) == ("CANCEL", str(visit.calendar_uid), 1, start)
    assert booking.booked(kind, start)


def test_a_visit_that_is_here_is_not_called_off_by_its_owner_nor_twice_by_anybody(visit):
    by = garage.front_desk()
    visits.call_off(visit, why="", by=by, now=timezone.now())
    with pytest.raises(Refused, match="called off"):
        visits.call_off(visit, why="", by=by, now=timezone.now())


def test_an_owner_cannot_call_off_what_is_in_the_building(visit):
    with pytest.raises(Refused, match="is here: it can't be called off here"):
        visits.call_off_by_owner(booking.arrived(visit), why="", now=timezone.now())


def test_only_a_visit_that_was_due_can_have_failed_to_come(visit):
    by = garage.front_desk()
    with pytest.raises(Refused, match="not due yet"):
        visits.did_not_come(visit, by=by, now=timezone.now())
    Visit.objects.filter(pk=visit.pk).update(starts_at=timezone.now() - timedelta(minutes=5))
    gone = visits.did_not_come(visit, by=by, now=timezone.now())
    assert (gone.state, gone.starts_at, gone.pieces.count()) == (states.DID_NOT_COME, None, 0)


def test_a_no_show_can_be_given_another_time(visit, start):
    by = garage.front_desk()
    Visit.objects.filter(pk=visit.pk).update(starts_at=timezone.now() - timedelta(minutes=5))
    visits.did_not_come(visit, by=by, now=timezone.now())
    again = visits.give_time(
        visit, at="roller", starts_at=start + timedelta(hours=4), minutes=90, by=by, now=timezone.now()
    )
    assert (again.state, again.starts_at) == (states.BOOKED, start + timedelta(hours=4))


def test_a_visit_put_right_gets_a_new_roller_time(visit, start):
    by = garage.person()
    gate_results.failed(
        booking.arrived(visit), reasons=["No spark when hot."], bench_minutes=50, by=by, now=timezone.now()
    )
    again = visits.give_time(
        visit, at="roller", starts_at=start + timedelta(hours=4), minutes=90, by=by, now=timezone.now()
    )
    assert (again.state, again.at, again.pieces.count()) == (states.HERE, "roller", 18)
    assert booking.diary(Message.objects.get(what="visit_time_given"))[2:] == (1, start + timedelta(hours=4))


def test_bench_time_can_be_given_to_a_visit_to_be_put_right(visit, start):
    by = garage.person()
    selling.give_back(visit, the_shop())
    Visit.objects.filter(pk=visit.pk).update(state=states.TO_PUT_RIGHT, route="fix-first")
    given = visits.give_time(visit, at="bench", starts_at=start, minutes=50, by=by, now=timezone.now())
    assert (given.state, given.at, given.minutes) == (states.BOOKED, "bench", 50)
    assert {piece.at for piece in given.pieces.all()} == {"bench"}


def test_a_visit_with_a_time_is_moved_and_not_given_a_second_one(visit, start):
    with pytest.raises(Refused, match="has a time already"):
        visits.give_time(
            visit,
            at="roller",
            starts_at=start + timedelta(hours=4),
            minutes=90,
            by=garage.front_desk(),
            now=timezone.now(),
        )


def _words(at):
    return the_shop().local_time.in_words(at)


def test_a_move_is_noted_forgets_the_pins_and_waits_for_both_days(visit, start):
    by, now = garage.front_desk(), timezone.now()
    steps.pin(visit.steps.first(), station=2, by_person=None, begins_at=None, by=by, now=now)
    later = booking.at_local(booking.open_day(8), 10)
    Day.objects.all().delete()
    visits.move(visit, starts_at=later, by=by, now=now)
    check_noted(f"moved from {_words(start)} to {_words(later)}", by=by, at=now, visit=visit)
    assert set(Day.objects.values_list("day", flat=True)) == {start.date(), later.date()}
    assert visit.steps.first().pin_station is None
    row = Visit.objects.get()
    assert (row.starts_at, row.minutes, row.at, row.calendar_sequence) == (later, 90, "roller", 1)
    assert Message.objects.get(what="visit_moved").written_at == now


def test_an_owners_move_is_noted_with_its_time(visit, start):
    now, later = timezone.now(), start + timedelta(hours=4)
    visits.move_by_owner(visit, starts_at=later, now=now)
    check_noted(f"moved from {_words(start)} to {_words(later)}", by=OWNER, at=now, visit=visit)


def test_a_time_given_is_noted_mailed_and_planned_with_its_length(visit, start):
    by, now = garage.front_desk(), timezone.now()
    selling.give_back(visit, the_shop())
    Visit.objects.update(state=states.TO_PUT_RIGHT)
    steps.pin(visit.steps.first(), station=2, by_person=None, begins_at=None, by=by, now=now)
    later = start + timedelta(hours=4)
    given = visits.give_time(visit, at="roller", starts_at=later, minutes=60, by=by, now=now)
    check_noted(f"given a time at the rollers: {_words(later)}, 60 min", by=by, at=now, visit=visit)
    assert (given.state, given.starts_at, given.pieces.count()) == (states.BOOKED, later, 12)
    planned = [(step.what, step.minutes, step.pin_station) for step in given.steps.all()]
    assert planned == [("gate", 20, None), ("set-up", 60, None)]
    message = Message.objects.get(what="visit_time_given")
    assert (message.written_at, message.to) == (now, "robin@example.org")
    row = Visit.objects.get()
    assert (row.state, row.starts_at, row.minutes) == (states.BOOKED, later, 60)


def test_bench_time_is_planned_at_the_bench(visit, start):
    by, now = garage.front_desk(), timezone.now()
    selling.give_back(visit, the_shop())
    Visit.objects.update(state=states.TO_PUT_RIGHT)
    given = visits.give_time(visit, at="bench", starts_at=start, minutes=50, by=by, now=now)
    check_noted(f"given a time at the bench: {_words(start)}, 50 min", by=by, at=now, visit=visit)
    assert [(step.at, step.minutes) for step in given.steps.all()][-1] == ("bench", 50)


def test_a_machine_in_the_building_gets_another_time_in_place_of_its_old_one(visit, start):
    by, later = garage.front_desk(), booking.at_local(booking.open_day(8), 10)
    Visit.objects.update(state=states.WAITING_FOR_PARTS, arrived_at=timezone.now())
    Day.objects.all().delete()
    given = visits.give_time(visit, at="roller", starts_at=later, minutes=90, by=by, now=timezone.now())
    assert (given.state, given.starts_at, given.pieces.count()) == (states.WAITING_FOR_PARTS, later, 18)
    assert set(Day.objects.values_list("day", flat=True)) == {start.date(), later.date()}


@pytest.mark.parametrize(("at", "minutes"), [("yard", 60), ("roller", 0), ("bench", -5)])
def test_a_time_needs_a_place_and_a_length(visit, start, at, minutes):
    allowed = "bench or roller, and a length above 0"
    with refuses(f"place and minutes is '{at}, {minutes}'; allowed is {allowed}.", BadInput):
        visits.give_time(visit, at=at, starts_at=start, minutes=minutes, by=garage.boss(), now=timezone.now())


@pytest.mark.parametrize("state", [states.COLLECTED, states.CALLED_OFF, states.READY])
def test_what_is_ready_or_over_needs_no_time(visit, start, state):
    Visit.objects.update(state=state)
    with refuses(f"Visit {visit.number} is {states.WORDS[state]}: it no longer needs a time."):
        visits.give_time(visit, at="bench", starts_at=start, minutes=5, by=garage.boss(), now=timezone.now())


def test_the_refusals_of_a_move_and_of_a_second_time_name_the_visit(visit, start):
    by, now = garage.boss(), timezone.now()
    with refuses(f"Visit {visit.number} has a time already: move it instead."):
        visits.give_time(visit, at="bench", starts_at=start, minutes=5, by=by, now=now)
    selling.give_back(visit, the_shop())
    with refuses(f"Visit {visit.number} is booked and has no time to move."):
        visits.move(visit, starts_at=start, by=by, now=now)


@pytest.mark.parametrize(
    ("why", "said"), [("  sold the machine ", ": sold the machine"), ("", "")], ids=["with a reason", "without"]
)
def test_calling_off_is_kept_noted_mailed_and_told_to_the_rooms_above(visit, start, why, said):
    by, now, heard = garage.front_desk(), timezone.now(), []

    def listen(sender, visit, **_):
        heard.append((sender, visit.state))

    events.visit_called_off.connect(listen)
    visits.call_off(visit, why=why, by=by, now=now)
    events.visit_called_off.disconnect(listen)
    check_noted(f"called off{said} ({_words(start)})", by=by, at=now, visit=visit)
    assert heard == [(Visit, states.CALLED_OFF)]
    row = Visit.objects.get()
    assert (row.state, row.called_off_at, row.called_off_why) == (states.CALLED_OFF, now, why.strip())
    assert (row.starts_at, row.pieces.count()) == (None, 0)
    assert Message.objects.get(what="visit_called_off").written_at == now


def test_an_owner_calls_off_with_at_most_two_hundred_characters_of_reason(visit, start):
    now = timezone.now()
    selling.give_back(visit, the_shop())
    visits.call_off_by_owner(visit, why="x" * 201, now=now)
    check_noted(f"called off: {'x' * 188}", by=OWNER, at=now, visit=visit)  # 200 with the first twelve
    assert Visit.objects.get().called_off_why == "x" * 200
    assert not Message.objects.get(what="visit_called_off").enclosures.exists()


def test_a_no_show_is_noted_with_when_it_was_due(visit):
    by, now = garage.front_desk(), timezone.now()
    due = now - timedelta(minutes=5)
    Visit.objects.update(starts_at=due)
    visits.did_not_come(visit, by=by, now=now)
    check_noted(f"did not come ({_words(due)})", by=by, at=now, visit=visit, was_due_at=due.isoformat())
    assert Visit.objects.get().state == states.DID_NOT_COME


def test_a_no_show_is_refused_before_its_time_and_without_one(visit):
    by, now = garage.front_desk(), timezone.now()
    sentence = f"Visit {visit.number} is not due yet: call it off, or move it."
    with refuses(sentence):
        visits.did_not_come(visit, by=by, now=now)
    selling.give_back(visit, the_shop())
    with refuses(sentence):
        visits.did_not_come(visit, by=by, now=now)


def test_a_call_less_than_a_day_before_is_noted_as_late(visit, start):
    by, now = garage.front_desk(), start - timedelta(hours=23)
    visits.call_off(visit, why="", by=by, now=now)
    check_noted(f"called off, less than a day before ({_words(start)})", by=by, at=now, visit=visit)


def test_what_the_workshop_puts_off_stays_without_a_time_and_its_owner_picks_another(visit, kind, start):
    by, now = garage.boss(), timezone.now()
    put_off = visits.put_off(visit, why=" The roller is down. ", by=by, now=now)
    check_noted(f"put off by us: The roller is down. ({_words(start)})", by=by, at=now, visit=visit)
    assert (put_off.state, put_off.starts_at, put_off.pieces.count()) == (states.BOOKED, None, 0)
    assert (FreedTime.objects.get().why, FreedTime.objects.get().hold) == (FreedTime.BY_US, None)
    mail = Message.objects.get(what="put_off")
    assert booking.diary(mail)[0] == "CANCEL"
    assert "The roller is down." in mail.text
    assert _words(start) in mail.text
    again = owner_choices.take_time(visit, starts_at=start + timedelta(hours=4), now=now)
    assert (again.starts_at, again.state) == (start + timedelta(hours=4), states.BOOKED)
    assert [step.what for step in again.steps.all()] == ["gate", "set-up"]


def test_a_time_that_the_workshop_puts_off_is_offered_to_nobody(visit, kind, start):
    waits = booking.booked(kind, booking.at_local(booking.workday(ahead=9), 10))
    standby.ask(waits, notice_hours=0, weekdays=range(7), by=OWNER, now=timezone.now())
    visits.put_off(visit, why="The roller is down.", by=garage.boss(), now=timezone.now())
    assert FreedTime.objects.get().closed_at


def test_only_a_time_that_is_coming_is_put_off_and_its_owner_is_told_why(visit):
    by, now = garage.boss(), timezone.now()
    with pytest.raises(BadInput, match=r"Why\?"):
        visits.put_off(visit, why="  ", by=by, now=now)
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE)
    with refuses(f"Visit {visit.number} is here and has no time to be put off."):
        visits.put_off(visit, why="Ill.", by=by, now=now)


def missed(visit, *, at=12):
    """It was due at ten and somebody says so that day."""
    due = booking.at_local(booking.workday(), 10)
    Visit.objects.update(starts_at=due)
    visits.did_not_come(visit, by=garage.front_desk(), now=booking.at_local(booking.workday(), at))
    return due


def test_the_owner_of_a_no_show_is_written_to_in_the_shops_words_and_not_at_night(visit):
    due = missed(visit)
    mail = Message.objects.get(what="did_not_come")
    assert _words(due) in mail.subject
    assert (mail.to, mail.due_at) == (visit.owner.email, booking.at_local(booking.workday(), 12))
    assert "we find another time" in mail.text


def test_said_at_night_it_goes_out_in_the_morning(visit):
    missed(visit, at=22)
    assert _words(Message.objects.get(what="did_not_come").due_at).endswith("08:00")


def test_the_shop_words_it_or_switches_it_off(visit):
    boss, now = garage.boss(), timezone.now()
    worded.reword(NO_SHOW, is_on=True, subject="{when}", text="Where were you, {owner}?", by=boss, now=now)
    missed(visit)
    assert f"Where were you, {visit.owner.name}?" in Message.objects.get(what=NO_SHOW).text


def test_switched_off_nothing_is_written(visit):
    delivered = WORDED[NO_SHOW]
    worded.reword(
        NO_SHOW, is_on=False, subject=delivered.subject, text=delivered.text, by=garage.boss(), now=timezone.now()
    )
    missed(visit)
    assert not Message.objects.filter(what=NO_SHOW).exists()


def test_an_owner_without_mail_is_told_by_hand_until_there_is_another_time(visit, start):
    Owner.objects.update(email="")
    visit.refresh_from_db()
    missed(visit)
    noon = booking.at_local(booking.workday(), 12)
    [line] = [line for line in lines_to_tell(the_shop(), now=noon) if line.message.what == NO_SHOW]
    assert "It did not come" in line.words
    visits.give_time(visit, at="roller", starts_at=start, minutes=90, by=garage.front_desk(), now=timezone.now())
    assert not [line for line in lines_to_tell(the_shop(), now=noon) if line.message.what == NO_SHOW]


def test_one_that_must_not_run_is_not_spoken_of_without_saying_so(visit):
    Visit.objects.update(must_not_run=["It pinks."])
    missed(visit)
    assert "Please do not start or ride it." in Message.objects.get(what=NO_SHOW).text


def test_what_counts_as_late_is_the_shops_for_moving_and_calling_off_and_the_deposit(visit, start):
    Shop.objects.update(late_hours=72)
    Visit.objects.update(deposit_paid=30)
    now = start - timedelta(hours=71)
    with pytest.raises(Refused, match="less than 3 days away"):
        visits.move_by_owner(visit, starts_at=start + timedelta(hours=4), now=now)
    gone = visits.call_off_by_owner(visit, why="", now=now)
    check_noted(f"called off, less than 3 days before ({_words(start)})", by=OWNER, at=now, visit=visit)
    assert gone.deposit_then == "decide"


def test_before_the_shops_hours_nothing_is_late(visit, start):
    Shop.objects.update(late_hours=2)
    Visit.objects.update(deposit_paid=30)
    gone = visits.call_off_by_owner(visit, why="", now=start - timedelta(hours=2))
    assert gone.deposit_then == "back"
