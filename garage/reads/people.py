"""Who works here."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Q, QuerySet

from garage.models.people import Away, Person, WorkingHours


def workers() -> QuerySet[Person]:
    """People who may work at a bench or on the rollers."""
    return Person.objects.filter(Q(does_bench=True) | Q(does_rollers=True), is_active=True).order_by(
        "first_name", "username"
    )


def in_order(people: Iterable[Person]) -> list[Person]:
    """By first name, of people that were read before."""
    return sorted(people, key=lambda person: (person.first_name, person.username))


def who_works_here() -> QuerySet[Person]:
    """Everybody who can be asked for, front desk included."""
    return Person.objects.filter(is_active=True).order_by("first_name", "username")


def person_or_none(person_id: int | None) -> Person | None:
    """Somebody who still works here."""
    return None if person_id is None else who_works_here().filter(pk=person_id).first()


def everybody() -> QuerySet[Person]:
    """Those who work here first, then those who used to."""
    return Person.objects.order_by("-is_active", "first_name", "username")


def away_since(person: Person, day: date) -> QuerySet[Away]:
    return person.away.filter(last_day__gte=day)


def hours_of(person: Person) -> dict[int, WorkingHours]:
    """By weekday. A missing day is not worked."""
    return {row.weekday: row for row in person.hours.all()}


def bosses() -> QuerySet[Person]:
    return who_works_here().filter(role=Person.BOSS)


def person_called(username: str) -> Person | None:
    """By log-in name, whether or not they still work here."""
    return Person.objects.filter(username=username).first()
