"""The garage's own settings: what the boss changes, with a trail."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any
from zoneinfo import available_timezones

from django.db import models, transaction

from garage.changes import trail
from garage.core.currencies import CURRENCIES, LONGEST_TAX_NAME, VAT
from garage.core.errors import BadInput
from garage.core.paid_to import COUNTRIES, HOME, account_number, bic, vat_number
from garage.core.planning.day_rules import ARRIVE_BEFORE_MIN
from garage.core.shop_limits import check_limits
from garage.core.time.clock import WEEKDAYS
from garage.core.time.open_days import Hours, bank_holidays
from garage.core.time.roller_hours import hours_in_words
from garage.models.people import Person
from garage.models.shop import ClosedDay, OpeningHours, Shop

UNPAID_DAYS = "Days after that until an unpaid time is free again"  # the field as the page calls it
LAST_DAY = "Last day"  # the field as the page calls it
MOST_CLOSED_DAYS = 120  # one stretch on the list: longer is a slip of the year, common practice
LONGEST_CALLING_CODE = 3  # digits, ITU-T E.164


def change_settings(*, by: Person, now: datetime, **values: object) -> None:
    """values: fields of Shop by name. Raises BadInput naming the field."""
    values = values | _numbers_checked(values)
    _check_place(values, now=now)
    _check_gate(values)
    _check_calling_code(str(values.get("calling_code", "")))
    if values.get("deposit_frees_after_days") == 0:
        raise BadInput(UNPAID_DAYS, 0, "1 or more, so that somebody can ring first, or nothing")
    check_limits(values)
    with transaction.atomic():
        row = Shop.objects.select_for_update().get(pk=1)
        changed = put(row, values)
        if changed:
            trail.wrote(did="changed the settings", about="the shop", by=by, now=now, changed=changed)


def _numbers_checked(values: Mapping[str, object]) -> dict[str, str]:
    """Those of the VAT office and the bank, as printed."""
    for name, known in (("currency", CURRENCIES), ("country", COUNTRIES)):
        if values.get(name) not in (None, *known):
            raise BadInput(name.capitalize(), values[name], "one of the list")
    if not str(values.get("tax_name", VAT)).strip():
        raise BadInput("What the tax on sales is called", "", f"1 to {LONGEST_TAX_NAME} characters")
    checks: dict[str, Callable[[str], str]] = {
        "vat_number": partial(vat_number, country=str(values.get("country", HOME))),
        "bank_bic": bic,
    }
    checks["bank_account"] = account_number
    return {name: check(str(values.get(name, ""))) for name, check in checks.items() if name in values}


def _check_gate(values: Mapping[str, object]) -> None:
    """Owners are asked to come so long before the rollers: the gate at the bench has no more time than that."""
    minutes = values.get("gate_minutes")
    if isinstance(minutes, int) and minutes > ARRIVE_BEFORE_MIN:
        allowed = f"at most the {ARRIVE_BEFORE_MIN} minutes that owners come before the rollers"
        raise BadInput("gate_minutes", minutes, allowed)


def _check_calling_code(code: str) -> None:
    """ITU-T E.164: one to three digits, not beginning with 0. Empty leaves local numbers as they are."""
    if code and not (code.isascii() and code.isdigit() and len(code) <= LONGEST_CALLING_CODE and code[0] != "0"):
        raise BadInput("Country code of telephone numbers", code, "up to three digits without + or 0, such as 44")


def set_opening(hours: Mapping[int, Hours | None], *, by: Person, now: datetime) -> None:
    """hours: the garage's and the rollers' by weekday, 0 is Monday. None is a day closed every week."""
    for weekday, day in hours.items():
        if day and day.closes <= day.opens:
            raise BadInput(f"{WEEKDAYS[weekday]}: closes", f"{day.closes:%H:%M}", f"a time after {day.opens:%H:%M}")
        if day:
            day.rollers.check(WEEKDAYS[weekday], opens=day.opens, closes=day.closes)
    with transaction.atomic():
        Shop.objects.select_for_update().get()  # of two at once the second waits, or each would add its own week
        before = {row.weekday: _hours_noted(row.hours) for row in OpeningHours.objects.all()}
        OpeningHours.objects.all().delete()
        OpeningHours.objects.bulk_create(
            OpeningHours(
                weekday=weekday,
                opens=day.opens,
                closes=day.closes,
                rollers_from=day.rollers.begins,
                rollers_until=day.rollers.ends,
                has_rollers=day.rollers.has_rollers,
            )
            for weekday, day in hours.items()
            if day
        )
        trail.wrote(did="changed the opening hours", about="the shop", by=by, now=now, before=before)


def _hours_noted(hours: Hours) -> list[str]:
    """For the trail. The rollers are named where they run shorter than the garage is open."""
    rollers = hours_in_words(hours.rollers.quiet)
    noted = [f"{hours.opens:%H:%M}", f"{hours.closes:%H:%M}"]
    return [*noted, f"the rollers {rollers}"] if rollers else noted


def close_day(*, day: date, why: str, open_after_all: bool, by: Person, now: datetime) -> None:
    """A day closed besides the weekly ones and the bank holidays, or a holiday that is worked."""
    with transaction.atomic():
        if ClosedDay.objects.filter(day=day).exists():
            raise BadInput("Day", f"{day}", "a day that is not on the list yet")
        ClosedDay.objects.create(day=day, why=why, open_after_all=open_after_all)
        trail.wrote(did=f"{'opens' if open_after_all else 'closes'} on {day}: {why}", about="the shop", by=by, now=now)


def close_days(*, first: date, last: date, why: str, by: Person, now: datetime) -> None:
    """Every day of a stretch, both ends included, such as a winter closing. What is closed already stays as it is."""
    count = (last - first).days + 1
    if not 1 < count <= MOST_CLOSED_DAYS:
        allowed = f"a day after {first}, within {MOST_CLOSED_DAYS} days"
        raise BadInput(LAST_DAY, f"{last}", allowed)
    with transaction.atomic():
        listed = {row.day: row for row in ClosedDay.objects.filter(day__range=(first, last))}
        worked = next((day for day in sorted(listed) if listed[day].open_after_all), None)
        if worked:
            raise BadInput(LAST_DAY, f"{last}", f"a stretch without {worked}, which is on the list as worked")
        days = [first + timedelta(days=ahead) for ahead in range(count)]
        ClosedDay.objects.bulk_create(ClosedDay(day=day, why=why) for day in days if day not in listed)
        trail.wrote(did=f"closes from {first} to {last}: {why}", about="the shop", by=by, now=now)


def forget_closed_days(rows: Sequence[ClosedDay], *, by: Person, now: datetime) -> None:
    """rows: in order, at least one."""
    first, last = rows[0], rows[-1]
    said = f"{first.day}" if len(rows) == 1 else f"{first.day} to {last.day}"
    with transaction.atomic():
        ClosedDay.objects.filter(pk__in=[row.pk for row in rows]).delete()
        trail.wrote(did=f"took {said} off the list of days", about="the shop", by=by, now=now, why=first.why)


def put(row: models.Model, values: Mapping[str, object]) -> dict[str, list[str]]:
    """Writes the values that differ. Returns the changes for the trail, as {field: [before, after]} in words."""
    changed = {
        name: [str(getattr(row, name)), str(value)] for name, value in values.items() if getattr(row, name) != value
    }
    for name in changed:
        setattr(row, name, values[name])
    if changed:
        row.save(update_fields=list(changed))
    return changed


def _check_place(values: Mapping[str, Any], *, now: datetime) -> None:
    if values["zone"] not in available_timezones():
        raise BadInput("Time zone", values["zone"], "an IANA time zone, such as Europe/London")
    year = now.year
    try:
        bank_holidays(values["holiday_country"], values["holiday_part"], year, year)
    except BadInput as error:
        raise BadInput("Country of the bank holidays", error.found, error.allowed) from error
