"""The doors to one row: a personal link, or a person of the workshop. Unknown and forbidden get the same answer."""

from __future__ import annotations

from datetime import date, datetime

from django.db.models import QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from garage.models.list_files import ListFile
from garage.models.messages import Enclosure, Message
from garage.models.owners import Join, Machine, MachineKind, Owner
from garage.models.packers import PackerStock
from garage.models.people import Away, Person
from garage.models.shop import ClosedDay, Station, VisitKind
from garage.models.standby import Offer
from garage.models.visits import Photo, Step, Visit
from garage.reads import links


def visits_with_names() -> QuerySet[Visit]:
    return Visit.objects.select_related("owner", "machine", "machine__kind", "kind", "standby")


def visit_by_link(token: str, purpose: str, *, now: datetime) -> Visit | None:
    """The visit whose owner holds this link. None if it is not ours, revoked or expired."""
    signed = links.read_token(token, purpose)
    if signed is None:
        return None
    visit_id, generation = signed
    visit = visits_with_names().filter(pk=visit_id, link_generation=generation).first()
    return visit if visit and links.lives(visit, purpose, now) else None


def visit_by_any_link(token: str, *, now: datetime) -> Visit | None:
    """Of whichever page of its owner the token opens."""
    found = (visit_by_link(token, purpose, now=now) for purpose in links.ALL)
    return next((visit for visit in found if visit is not None), None)


def visit_for(person: Person, number: int) -> Visit:
    """The visit with that number, for anybody who works here. Otherwise Http404."""
    visit = visits_with_names().filter(number=number).first() if person.is_active else None
    if visit is None:
        raise Http404
    return visit


def offer_or_404(visit: Visit, offer_id: int) -> Offer:
    """Of a freed time, to this visit's owner."""
    rows = Offer.objects.select_related("time__visit", "visit__owner", "visit__machine", "visit__kind")
    return get_object_or_404(rows, pk=offer_id, visit=visit)


def offered_kinds() -> QuerySet[VisitKind]:
    return VisitKind.objects.filter(is_offered=True)


def kind_by_slug(slug: str) -> VisitKind:
    """A visit kind that can be booked. Otherwise Http404."""
    return get_object_or_404(offered_kinds(), slug=slug)


def step_or_404(step_id: int) -> Step:
    return get_object_or_404(Step.objects.select_related("visit"), pk=step_id)


def photo_or_404(photo_id: int) -> Photo:
    return get_object_or_404(Photo, pk=photo_id)


def owner_or_404(owner_id: int) -> Owner:
    return get_object_or_404(Owner.objects.select_related("joined_into"), pk=owner_id)


def machine_or_404(machine_id: int) -> Machine:
    return get_object_or_404(Machine.objects.select_related("owner", "kind"), pk=machine_id)


def join_or_404(join_id: int) -> Join:
    return get_object_or_404(Join, pk=join_id)


def message_or_404(message_id: int) -> Message:
    rows = Message.objects.select_related("visit__owner").prefetch_related("enclosures")
    return get_object_or_404(rows, pk=message_id)


def enclosure_or_404(message_id: int, enclosure_id: int) -> Enclosure:
    return get_object_or_404(Enclosure, pk=enclosure_id, message_id=message_id)


def person_or_404(person_id: int) -> Person:
    return get_object_or_404(Person, pk=person_id)


def away_or_404(person: Person, away_id: int, *, since: date) -> Away:
    """Days away that are not over yet."""
    return get_object_or_404(person.away, pk=away_id, last_day__gte=since)


def visit_kind_or_404(kind_id: int) -> VisitKind:
    return get_object_or_404(VisitKind, pk=kind_id)


def machine_kind_or_404(kind_id: int) -> MachineKind:
    return get_object_or_404(MachineKind, pk=kind_id)


def station_or_404(station_id: int) -> Station:
    return get_object_or_404(Station, pk=station_id)


def closed_day_or_404(day_id: int, *, since: date) -> ClosedDay:
    return get_object_or_404(ClosedDay, pk=day_id, day__gte=since)


def packer_or_404(packer_id: int) -> PackerStock:
    return get_object_or_404(PackerStock, pk=packer_id)


def list_file_or_404(list_id: int) -> ListFile:
    return get_object_or_404(ListFile, pk=list_id)
