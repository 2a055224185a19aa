"""What the card's script sends along with a form: its key, and of one that has waited the phone's time of the tap."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from django import forms

from garage.models.visits import Visit
from garage.views.answers import ButtonForm
from garage.views.requests import WorkshopRequest
from jobs.changes import arrivals
from jobs.changes.arrivals import Sent
from jobs.views.forms_money import KeyField


class SentAlong(ButtonForm):
    allowed = {"tapped_at": "a date and time, as the page sends it"}

    key = KeyField(required=False)
    tapped_at = forms.DateTimeField(required=False)


def taken_in(request: WorkshopRequest, visit: Visit, change: Callable[[datetime], object]) -> Callable[[], None]:
    """The change of a form that may come twice or late. change: is given the time that it counts from."""

    def take() -> None:
        sent = Sent(**SentAlong(request.POST).sent())
        arrivals.take_in(visit, sent, change=change, by=request.user, now=request.now)

    return take
