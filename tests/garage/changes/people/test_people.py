from datetime import date, time

import pytest
from django.utils import timezone

from garage.changes.people import people
from garage.changes.people.people import DayHours
from garage.core.errors import BadInput, Refused
from garage.models.people import Away, Person
from garage.models.trail import TrailRow
from tests.factories import garage as make
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
PASSWORD = "ambleford-lane-7"
ROBIN = {
    "username": "robin",
    "first_name": "Robin",
    "last_name": "Vale",
    "role": "mechanic",
    "does_bench": True,
    "does_rollers": False,
}


@pytest.fixture
def boss():
    return make.boss()


@pytest.fixture
def robin(boss):
    return people.add(password=PASSWORD, by=boss, now=timezone.now(), **ROBIN)


def change(row, boss, **given):
    people.change(row, by=boss, now=timezone.now(), **(ROBIN | {"is_active": True} | given))
    row.refresh_from_db()
    return row


def test_a_new_person_can_log_in_and_the_password_is_on_no_trail(robin):
    assert robin.check_password(PASSWORD)
    row = TrailRow.objects.get()
    assert row.did == "added Robin Vale as mechanic"
    assert PASSWORD not in str(row.detail)


def test_log_in_names_ignore_capitals(boss, robin):
    with pytest.raises(BadInput, match="Log-in name"):
        people.add(password=PASSWORD, by=boss, now=timezone.now(), **ROBIN | {"username": "ROBIN"})


@pytest.mark.parametrize(
    "weak", ["short", "password123", "12345678", "90817263", "robin1234", "1Mechanic", "mechanic1", "Tickover2026"]
)
def test_a_password_that_is_easily_guessed_is_refused_for_new_and_old(boss, robin, weak):
    with pytest.raises(BadInput, match="Password"):
        people.add(password=weak, by=boss, now=timezone.now(), **ROBIN | {"username": "other"})
    with pytest.raises(BadInput, match="Password"):
        change(robin, boss, password=weak)
    robin.refresh_from_db()
    assert robin.check_password(PASSWORD)


def test_a_new_password_replaces_the_old_one_and_none_leaves_it(boss, robin):
    assert change(robin, boss, last_name="Moor").check_password(PASSWORD)
    changed = change(robin, boss, last_name="Moor", password="kettle-of-crows-9")
    assert changed.check_password("kettle-of-crows-9")
    assert TrailRow.objects.first().detail == {"changed": {"password": ["", "a new one"]}}


@pytest.mark.parametrize("less", [{"role": "mechanic"}, {"is_active": False}])
def test_the_last_boss_stays_boss(boss, less):
    values = {"username": boss.username, "first_name": "B", "role": "boss"} | less
    with pytest.raises(Refused, match="Somebody has to be boss"):
        change(boss, boss, **values)
    make.boss()
    change(boss, boss, **values)


def test_a_person_who_leaves_stays_on_record(boss, robin):
    assert not change(robin, boss, is_active=False).is_active
    assert Person.objects.filter(pk=robin.pk).exists()


WEEK = {day: DayHours(time(8), time(17), time(12), time(12, 30)) for day in range(5)} | {5: None, 6: None}


def test_hours_are_replaced_as_a_whole(boss, robin):
    people.set_hours(robin, WEEK, by=boss, now=timezone.now())
    people.set_hours(robin, {0: DayHours(time(10), time(14))}, by=boss, now=timezone.now())
    (row,) = robin.hours.all()
    assert (row.begins, row.ends, row.break_begins) == (time(10), time(14), None)


@pytest.mark.parametrize(
    ("day", "where"),
    [
        (DayHours(time(17), time(8)), "Wednesday: ends"),
        (DayHours(time(8), time(17), time(12), None), "Wednesday: break ends"),
        (DayHours(time(8), time(17), time(7), time(7, 30)), "Wednesday: break begins"),
        (DayHours(time(8), time(17), time(16, 45), time(17, 15)), "Wednesday: break begins"),
        (DayHours(time(8), time(17), time(13), time(12)), "Wednesday: break begins"),
    ],
)
def test_a_day_that_cannot_be_worked_is_refused_and_the_old_hours_stay(boss, robin, day, where):
    people.set_hours(robin, WEEK, by=boss, now=timezone.now())
    with pytest.raises(BadInput) as caught:
        people.set_hours(robin, WEEK | {2: day}, by=boss, now=timezone.now())
    assert caught.value.where == where
    assert robin.hours.count() == 5


def test_days_away_are_entered_and_removed_with_trail(boss, robin):
    days = {"first_day": date(2026, 12, 1), "last_day": date(2026, 12, 4), "why": "holiday"}
    people.add_away(robin, by=boss, now=timezone.now(), **days)
    with pytest.raises(BadInput, match="Last day"):
        people.add_away(robin, by=boss, now=timezone.now(), **days | {"last_day": date(2026, 11, 30)})
    people.forget_away(Away.objects.get(), by=boss, now=timezone.now())
    assert not Away.objects.exists()
    assert TrailRow.objects.first().did == "Robin Vale is there after all 2026-12-01 to 2026-12-04"


def test_each_change_of_a_person_is_noted_with_who_and_when(boss):
    now = timezone.now()
    robin = people.add(password=PASSWORD, by=boss, now=now, **ROBIN)
    about = f"person {robin.pk}"
    check_noted("added Robin Vale as mechanic", by=boss, at=now, about=about)
    values = ROBIN | {"is_active": True, "last_name": "Moor"}
    people.change(robin, by=boss, now=now, **values)
    check_noted("changed Robin Moor", by=boss, at=now, about=about, changed={"last_name": ["Vale", "Moor"]})
    people.change(robin, by=boss, now=now, **values)
    assert TrailRow.objects.count() == 2
    robin.refresh_from_db()
    people.set_hours(robin, {0: DayHours(time(8, 5), time(17, 45)), 1: None}, by=boss, now=now)
    hours = {"0": "08:05 to 17:45"}
    check_noted("changed the hours of Robin Moor", by=boss, at=now, about=about, after=hours)
    first, last = date(2026, 12, 1), date(2026, 12, 1)
    people.add_away(robin, first_day=first, last_day=last, why="holiday", by=boss, now=now)
    said = "Robin Moor is away 2026-12-01 to 2026-12-01"
    check_noted(said, by=boss, at=now, about=about, why="holiday")
    away = Away.objects.get()
    assert (away.person, away.first_day, away.last_day, away.why) == (robin, first, last, "holiday")
    people.forget_away(away, by=boss, now=now)
    check_noted("Robin Moor is there after all 2026-12-01 to 2026-12-01", by=boss, at=now, about=about)


def test_hours_are_kept_with_their_breaks_and_leave_the_hours_of_others(boss, robin):
    others = list(boss.hours.values())
    day = DayHours(time(8), time(17), time(12), time(12, 30))
    people.set_hours(robin, {3: day}, by=boss, now=timezone.now())
    (row,) = robin.hours.all()
    assert (row.weekday, row.begins, row.ends) == (3, time(8), time(17))
    assert (row.break_begins, row.break_ends) == (time(12), time(12, 30))
    assert list(boss.hours.values()) == others


def test_a_break_may_fill_the_day_from_end_to_end(boss, robin):
    day = DayHours(time(8), time(17), time(8), time(17))
    people.set_hours(robin, {3: day}, by=boss, now=timezone.now())
    assert robin.hours.get().break_ends == time(17)


@pytest.mark.parametrize(
    ("day", "sentence"),
    [
        (DayHours(time(8), time(8)), "ends is '08:00'; allowed is a time after 08:00."),
        (
            DayHours(time(8), time(17), None, time(12)),
            "break ends is missing; allowed is both ends of the break, or neither.",
        ),
        (
            DayHours(time(8), time(17), time(12), time(12)),
            "break begins is '12:00'; allowed is a break within the hours of work.",
        ),
    ],
)
def test_a_day_that_cannot_be_worked_is_refused_in_a_sentence(boss, robin, day, sentence):
    with refuses(f"Wednesday: {sentence}", BadInput):
        people.set_hours(robin, {2: day}, by=boss, now=timezone.now())


def test_each_refusal_about_a_person_says_what_is_allowed(boss, robin):
    now = timezone.now()
    taken = "allowed is one that nobody else has."
    with refuses(f"Log-in name is 'ROBIN'; {taken}", BadInput):
        people.add(password=PASSWORD, by=boss, now=now, **ROBIN | {"username": "ROBIN"})
    with refuses(f"Log-in name is '{boss.username.upper()}'; {taken}", BadInput):
        change(robin, boss, username=boss.username.upper())
    allowed = "eight characters or more besides words of the garage, not digits alone, not a common one"
    weak = f"Password is too easy to guess; allowed is {allowed}, and not like the name."
    with refuses(weak, BadInput):
        change(robin, boss, password="short")
    with refuses("Somebody has to be boss: give another person that role first."):
        change(boss, boss, username=boss.username, role="mechanic")
    with refuses("Last day is '2026-11-30'; allowed is 2026-12-01 or later.", BadInput):
        people.add_away(robin, first_day=date(2026, 12, 1), last_day=date(2026, 11, 30), why="", by=boss, now=now)


def test_a_boss_who_has_left_is_no_other_boss(boss):
    make.boss(is_active=False)
    with pytest.raises(Refused):
        change(boss, boss, username=boss.username, role="mechanic")
    with pytest.raises(Refused):
        change(boss, boss, username=boss.username, role="boss", is_active=False)


def test_the_first_person_of_a_garage_is_added_by_nobody():
    row = people.begin_with(password=PASSWORD, **ROBIN)
    row.refresh_from_db()
    assert (row.username, row.role) == ("robin", "mechanic")
    assert row.check_password(PASSWORD)
    assert not TrailRow.objects.exists()
