from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.models.people import Person
from garage.reads.shop import today
from tests.factories import garage as make
from tests.forms import values_of

pytestmark = pytest.mark.django_db
PASSWORD = "ambleford-lane-7"
ROBIN = {"first_name": "Robin", "last_name": "Vale", "username": "robin", "role": "mechanic", "does_bench": "on"}


@pytest.fixture
def boss(client):
    make.shop()
    person = make.boss(username="boss")
    client.force_login(person)
    client.person = person
    return client


@pytest.fixture
def robin():
    return make.person(username="robin", first_name="Robin", last_name="Vale")


def page(client, name, *args):
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_person_is_added_and_the_hours_come_next(boss):
    answer = boss.post(reverse("shop-people"), ROBIN | {"password": PASSWORD})
    robin = Person.objects.get(username="robin")
    assert answer["Location"] == reverse("shop-person", args=[robin.id])
    assert robin.check_password(PASSWORD)
    assert "Robin Vale" in page(boss, "shop-people")


def test_a_weak_password_is_refused_and_not_shown_again(boss):
    answer = boss.post(reverse("shop-people"), ROBIN | {"password": "12345678"})
    said = answer.content.decode()
    assert answer.status_code == 422
    assert "eight characters or more" in said
    assert "12345678" not in said
    assert 'value="robin"' in said
    assert not Person.objects.filter(username="robin").exists()


def test_a_log_in_name_already_taken_is_refused(boss, robin):
    answer = boss.post(reverse("shop-people"), ROBIN | {"password": PASSWORD})
    assert answer.status_code == 422
    assert "Somebody else has this log-in name." in answer.content.decode()


def test_role_and_skills_are_changed_without_touching_the_password(boss, robin):
    values = values_of(page(boss, "shop-person", robin.id), "Save")
    boss.post(reverse("shop-person", args=[robin.id]), values | {"role": "front-desk"})
    before = robin.password
    robin.refresh_from_db()
    assert (robin.role, robin.password) == ("front-desk", before)


def test_the_last_boss_cannot_step_down_and_sees_why(boss):
    values = values_of(page(boss, "shop-person", boss.person.id), "Save")
    answer = boss.post(reverse("shop-person", args=[boss.person.id]), values | {"role": "mechanic"})
    assert answer.status_code == 409
    assert "Somebody has to be boss" in answer.content.decode()


def test_the_boss_stays_logged_in_after_changing_their_own_password(boss):
    values = values_of(page(boss, "shop-person", boss.person.id), "Save")
    boss.post(reverse("shop-person", args=[boss.person.id]), values | {"password": "kettle-of-crows-9"})
    boss.person.refresh_from_db()
    assert boss.person.check_password("kettle-of-crows-9")
    page(boss, "shop-people")


def test_hours_with_a_break_are_saved_and_shown_again(boss, robin):
    values = values_of(page(boss, "shop-person", robin.id), "Save the hours")
    assert values["hours-break_begins_0"] == "12:30"
    more = {"hours-begins_5": "09:00", "hours-ends_5": "12:00"}
    assert boss.post(reverse("shop-person-hours", args=[robin.id]), values | more).status_code == 302
    assert robin.hours.count() == 6
    assert values_of(page(boss, "shop-person", robin.id), "Save the hours")["hours-ends_5"] == "12:00"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"hours-ends_0": ""}, "Monday needs a start and an end"),
        ({"hours-ends_0": "07:00"}, "Monday: ends is"),
        ({"hours-break_ends_0": ""}, "Monday: break ends is missing"),
        ({"hours-break_begins_0": "06:00"}, "a break within the hours of work"),
    ],
)
def test_impossible_hours_are_reported_at_the_weekday_and_kept_as_typed(boss, robin, typed, said):
    values = values_of(page(boss, "shop-person", robin.id), "Save the hours") | typed
    answer = boss.post(reverse("shop-person-hours", args=[robin.id]), values)
    again = answer.content.decode()
    assert answer.status_code == 422
    assert said in again
    kept = values_of(again, "Save the hours")
    assert {name: kept[name] for name in typed} == typed


def test_days_away_are_entered_and_removed(boss, robin):
    day = today(now=timezone.now()) + timedelta(days=5)
    boss.post(reverse("shop-person-away", args=[robin.id]), {"first_day": day, "last_day": day, "why": "Dentist"})
    assert "Dentist" in page(boss, "shop-person", robin.id)
    boss.post(reverse("shop-person-there", args=[robin.id, robin.away.get().id]))
    assert not robin.away.exists()


def test_days_away_that_end_before_they_begin_are_refused(boss, robin):
    days = {"first_day": "2030-01-02", "last_day": "2030-01-01", "why": ""}
    answer = boss.post(reverse("shop-person-away", args=[robin.id]), days)
    assert answer.status_code == 422
    assert "2030-01-02 or later" in answer.content.decode()
