"""Who works here: log-in, role, skills, hours and days away."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from garage.changes import trail
from garage.changes.people import log_ins
from garage.changes.shop.shop import put
from garage.core.errors import BadInput, Refused, Unquoted
from garage.core.text.house_words import without_house_words
from garage.core.time.clock import WEEKDAYS
from garage.models.actors import SYSTEM
from garage.models.people import Away, Person, WorkingHours
from garage.reads.shop import shop_or_none

HARD_TO_GUESS = (
    "eight characters or more besides words of the garage, not digits alone, not a common one, and not like the name"
)
FEWEST = 8  # characters, as Django's validator has it: NIST SP 800-63B, 3.1.1.2


@dataclass(frozen=True)
class DayHours:
    begins: time
    ends: time
    break_begins: time | None = None
    break_ends: time | None = None


def add(*, password: str, by: Person, now: datetime, **values: object) -> Person:
    """values: username, first_name, last_name, role, does_bench, does_rollers."""
    if Person.objects.filter(username__iexact=str(values["username"])).exists():
        raise BadInput("Log-in name", values["username"], "one that nobody else has")
    row = Person(**values)
    _set_password(row, password)
    with transaction.atomic():
        row.save()
        trail.wrote(did=f"added {row.name} as {row.get_role_display()}", about=f"person {row.pk}", by=by, now=now)
    return row


def begin_with(*, password: str, **values: object) -> Person:
    """The first person of a garage, added by nobody."""
    row = Person(**values)
    _set_password(row, password)
    row.save()
    return row


def change(row: Person, *, by: Person, now: datetime, password: str = "", **values: object) -> None:
    """values: as in add, plus is_active. An empty password keeps the old one."""
    others = Person.objects.exclude(pk=row.pk)
    if others.filter(username__iexact=str(values["username"])).exists():
        raise BadInput("Log-in name", values["username"], "one that nobody else has")
    is_boss_after = values["role"] == Person.BOSS and values["is_active"]
    if not is_boss_after and not others.filter(role=Person.BOSS, is_active=True).exists():
        raise Refused("Somebody has to be boss: give another person that role first.")
    with transaction.atomic():
        row = Person.objects.select_for_update().get(pk=row.pk)
        changed = put(row, values)
        if password:
            _set_password(row, password)
            row.save(update_fields=["password"])
            changed["password"] = ["", "a new one"]
        if changed:
            trail.wrote(did=f"changed {row.name}", about=f"person {row.pk}", by=by, now=now, changed=changed)


def change_own_password(row: Person, *, password: str, now: datetime) -> None:
    """Who they are was proved with the old one. Every other log-in of theirs ends with it (Django's session hash)."""
    with transaction.atomic():
        row = Person.objects.select_for_update().get(pk=row.pk)
        _set_password(row, password)
        row.save(update_fields=["password"])
        trail.wrote(did="changed their own password", about=f"person {row.pk}", by=row, now=now)


def new_password_at_the_machine(row: Person, *, password: str, now: datetime) -> None:
    """For somebody who has forgotten theirs. Whoever sits at the machine itself could read the database as well."""
    if not row.is_active:
        raise Refused(f"{row.name} no longer works here: the boss lets them log in again under The shop, People.")
    with transaction.atomic():
        row = Person.objects.select_for_update().get(pk=row.pk)
        _set_password(row, password)
        row.save(update_fields=["password"])
        did = f"gave {row.name} a new password, by the command on the machine itself"
        trail.wrote(did=did, about=f"person {row.pk}", by=SYSTEM, now=now)
    log_ins.let_everybody_try_again()


def put_the_round_away(row: Person) -> None:
    """They know their way: the walk through their pages is not shown any more. Nothing that a trail would keep."""
    Person.objects.filter(pk=row.pk).update(was_shown_round=True)


def show_round(row: Person) -> None:
    """From its first stop, once more."""
    Person.objects.filter(pk=row.pk).update(was_shown_round=False)


def set_hours(row: Person, hours: Mapping[int, DayHours | None], *, by: Person, now: datetime) -> None:
    """hours: by weekday, 0 is Monday. None is a day not worked."""
    for weekday, day in hours.items():
        if day:
            _check_day(weekday, day)
    with transaction.atomic():
        WorkingHours.objects.filter(person=row).delete()
        WorkingHours.objects.bulk_create(
            WorkingHours(person=row, weekday=weekday, **vars(day)) for weekday, day in hours.items() if day
        )
        after = {weekday: f"{day.begins:%H:%M} to {day.ends:%H:%M}" for weekday, day in hours.items() if day}
        trail.wrote(did=f"changed the hours of {row.name}", about=f"person {row.pk}", by=by, now=now, after=after)


def add_away(row: Person, *, first_day: date, last_day: date, why: str, by: Person, now: datetime) -> None:
    if last_day < first_day:
        raise BadInput("Last day", f"{last_day}", f"{first_day} or later")
    with transaction.atomic():
        Away.objects.create(person=row, first_day=first_day, last_day=last_day, why=why)
        trail.wrote(
            did=f"{row.name} is away {first_day} to {last_day}", about=f"person {row.pk}", by=by, now=now, why=why
        )


def forget_away(away: Away, *, by: Person, now: datetime) -> None:
    with transaction.atomic():
        away.delete()
        did = f"{away.person.name} is there after all {away.first_day} to {away.last_day}"
        trail.wrote(did=did, about=f"person {away.person_id}", by=by, now=now)


def _set_password(row: Person, password: str) -> None:
    shop = shop_or_none()
    try:
        validate_password(password, row)
        if len(without_house_words(password, shop.name if shop else "")) < FEWEST:
            raise ValidationError("Words of the garage are tried first.")
    except ValidationError as error:
        raise BadInput("Password", Unquoted("too easy to guess"), HARD_TO_GUESS) from error
    row.set_password(password)


def _check_day(weekday: int, day: DayHours) -> None:
    name = WEEKDAYS[weekday]
    if day.ends <= day.begins:
        raise BadInput(f"{name}: ends", f"{day.ends:%H:%M}", f"a time after {day.begins:%H:%M}")
    if (day.break_begins is None) != (day.break_ends is None):
        raise BadInput(f"{name}: break ends", None, "both ends of the break, or neither")
    if day.break_begins and day.break_ends and not day.begins <= day.break_begins < day.break_ends <= day.ends:
        raise BadInput(f"{name}: break begins", f"{day.break_begins:%H:%M}", "a break within the hours of work")
