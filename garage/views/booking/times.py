"""Days with their free times, as three pages show them: each time is a button."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django import forms
from django.http import HttpRequest

from garage.changes.day.selling import TimeTaken
from garage.reads.free import Asked, free_days, nearest_free
from garage.views.answers import error_of, sentence_of
from garage.views.booking.forms import SinceForm
from garage.views.requests import PageRequest


def since_of(request: HttpRequest) -> date | None:
    """The first day whose times are wanted. None for anything that is not a day."""
    form = SinceForm(request.GET)
    return form.cleaned_data["since"] if form.is_valid() else None


def times_shown(
    request: PageRequest, asked: Asked | None, form: forms.BaseForm | None, *, days_shown: int
) -> dict[str, object]:
    """The context of parts/_free_times.html, with the sentence about a time that was taken.

    asked: None where there is nothing to look for. form: the fields sent with the time that was pressed.
    """
    days = free_days(asked, since=since_of(request), count=days_shown, now=request.now) if asked else []
    return {
        "days": days,
        "later": days[-1].day + timedelta(days=1) if len(days) == days_shown else None,
        "near": nearest(form, now=request.now),
        "trouble": sentence_of(form),
    }


def nearest(form: forms.BaseForm | None, *, now: datetime) -> list[datetime]:
    """The free times nearest to one that was taken."""
    error = error_of(form)
    return nearest_free(error.asked, error.starts_at, now=now) if isinstance(error, TimeTaken) else []
