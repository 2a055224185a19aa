"""The doors to a visit: a personal link, or a person of the workshop. Unknown and forbidden answer alike."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.utils import timezone

from garage.core.selling.free_times import ARRIVE_BEFORE_MIN
from garage.models.people import Person
from garage.models.shop import ROLLER, VisitKind
from garage.models.visits import Photo, Step, Visit
from garage.reads import links

THANKS_SHOWN = timedelta(days=1)


def visits_with_names() -> QuerySet[Visit]:
    return Visit.objects.select_related("owner", "machine", "machine__kind", "kind")


def visit_by_link(token: str, purpose: str) -> Visit | None:
    """The visit whose owner holds this link; None when it is not ours, revoked or past its time."""
    signed = links.read_token(token, purpose)
    if signed is None:
        return None
    visit_id, generation = signed
    visit = visits_with_names().filter(pk=visit_id, link_generation=generation).first()
    return visit if visit and links.lives(visit, purpose, timezone.now()) else None


def visit_for(person: Person, number: int) -> Visit:
    """The visit with that number, for anybody who works here; Http404 otherwise."""
    visit = visits_with_names().filter(number=number).first() if person.is_active else None
    if visit is None:
        raise Http404
    return visit


@dataclass(frozen=True)
class BookedPage:
    """What the page of thanks shows right after booking; the links are as good as those in the mail."""

    visit: Visit
    arrive_at: datetime | None
    sheet_url: str
    visit_url: str


def booked_page(number: int | None) -> BookedPage | None:
    """number: of the visit that this browser has just booked, from its session. Not shown any more after a day: the
    browser may not be the owner's own.
    """
    since = timezone.now() - THANKS_SHOWN
    visit = visits_with_names().filter(number=number, booked_at__gt=since).first() if number else None
    if visit is None:
        return None
    return BookedPage(visit, arrive_at(visit), links.sheet_url(visit), links.visit_url(visit))


def arrive_at(visit: Visit) -> datetime | None:
    """When the owner is asked to be there: half an hour before the rollers, for the gate; at the bench at the time."""
    if visit.starts_at is None:
        return None
    return visit.starts_at - timedelta(minutes=ARRIVE_BEFORE_MIN if visit.at == ROLLER else 0)


def offered_kinds() -> QuerySet[VisitKind]:
    return VisitKind.objects.filter(is_offered=True)


def kind_by_slug(slug: str) -> VisitKind:
    """A visit kind that can be booked; Http404 otherwise."""
    kind = offered_kinds().filter(slug=slug).first()
    if kind is None:
        raise Http404
    return kind


def step_or_404(step_id: int) -> Step:
    return get_object_or_404(Step.objects.select_related("visit"), pk=step_id)


def photo_or_404(photo_id: int) -> Photo:
    return get_object_or_404(Photo, pk=photo_id)
