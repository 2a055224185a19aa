"""Who may open a page: anybody of the workshop, those who handle money, the boss."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from typing import Concatenate

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpResponseBase

from garage.models.people import Person
from garage.views.requests import Given, WorkshopRequest

View = Callable[Concatenate[WorkshopRequest, Given], HttpResponseBase]


def workshop(view: View[Given]) -> View[Given]:
    """Anybody who is logged in."""
    return login_required(view)


def boss(view: View[Given]) -> View[Given]:
    return _only(view, lambda person: person.is_boss)


def money(view: View[Given]) -> View[Given]:
    return _only(view, lambda person: person.handles_money)


def _only(view: View[Given], may_open: Callable[[Person], bool]) -> View[Given]:
    def guarded(request: WorkshopRequest, /, *args: Given.args, **kwargs: Given.kwargs) -> HttpResponseBase:
        if not may_open(request.user):
            raise PermissionDenied
        return view(request, *args, **kwargs)

    update_wrapper(guarded, view)
    return login_required(guarded)
