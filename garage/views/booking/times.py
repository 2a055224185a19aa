"""First a day, then one of its free times, as the pages show them: each time is a button."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest

from garage.changes.day.selling import TimeTaken
from garage.core.selling.proposals import soonest_apart
from garage.reads.free import Asked, FreeDay, free_days, nearest_free
from garage.views.answers import error_of, sentence_of
from garage.views.booking.forms import SinceForm
from garage.views.requests import PageRequest

PROPOSED = 3  # times proposed before all others are shown


def since_of(request: HttpRequest) -> date | None:
    """The first day whose times are wanted. None for anything that is not a day."""
    form = SinceForm(request.GET)
    return form.cleaned_data["since"] if form.is_valid() else None


def times_shown(
    request: PageRequest,
    asked: Asked | None,
    form: forms.BaseForm | None,
    *,
    days_shown: int,
    kept: Mapping[str, object] | None = None,
) -> dict[str, object]:
    """The context of parts/_free_times.html, with the sentence about a time that was taken.

    asked: None where there is nothing to look for. form: the fields sent with the time that was pressed. kept: what
    else the address of another day must say.
    """
    since = since_of(request)
    days = free_days(asked, since=since, count=days_shown, now=request.now) if asked else []
    times = (at for free in days for at in free.times)
    query = urlencode({**(kept or {}), **({"since": since.isoformat()} if since else {})})
    return {
        "days": days,
        "soonest": soonest_apart(times, asked.minutes, PROPOSED) if asked else [],
        "chosen": chosen_day(request.GET.get("day", ""), days),
        "query": f"{query}&" if query else "",
        "later": days[-1].day + timedelta(days=1) if len(days) == days_shown else None,
        "near": nearest(form, now=request.now),
        "trouble": sentence_of(form),
    }


def chosen_day(day: str, days: Sequence[FreeDay]) -> FreeDay | None:
    """The day whose times are shown: the one asked for, as 2026-12-03, else the first. None without days."""
    return next((free for free in days if free.day.isoformat() == day), days[0] if days else None)


def nearest(form: forms.BaseForm | None, *, now: datetime) -> list[datetime]:
    """The free times nearest to one that was taken."""
    error = error_of(form)
    return nearest_free(error.asked, error.starts_at, now=now) if isinstance(error, TimeTaken) else []
