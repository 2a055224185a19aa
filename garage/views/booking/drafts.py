"""What one browser has chosen and typed for a booking, kept in its session until it is booked: nothing is lost."""

from __future__ import annotations

import secrets
from dataclasses import asdict, dataclass
from datetime import datetime
from uuid import UUID, uuid4

from django.http import HttpRequest

from garage.core.selling.draft import AskedSooner, Draft
from garage.core.text.languages import language_in_force
from garage.models.owners import Machine
from garage.models.shop import VisitKind
from garage.reads import access
from garage.views.booking.forms import ANOTHER, DeskTime, WhoComes

BROWSER, DRAFT, BOOKED = "browser", "booking", "booked"


@dataclass(frozen=True)
class Chosen:
    """The kind and time chosen. who: None until it has been typed."""

    kind: VisitKind
    starts_at: datetime
    who: WhoComes | None
    key: UUID


def browser_of(request: HttpRequest) -> str:
    """A random key of this browser, made when it first holds a time."""
    key: str = request.session.get(BROWSER, "")
    return key


def chosen(request: HttpRequest) -> Chosen | None:
    """None if no time has been chosen yet, or the choice is no longer on offer."""
    kept = request.session.get(DRAFT)
    if not kept or "starts_at" not in kept:
        return None
    kind = access.offered_kinds().filter(slug=kept["kind"]).first()
    if kind is None:
        return None
    who = WhoComes(**kept["who"]) if kept.get("who") else None
    return Chosen(kind, datetime.fromisoformat(kept["starts_at"]), who, UUID(kept["key"]))


def new_browser(request: HttpRequest) -> str:
    if not browser_of(request):
        request.session[BROWSER] = secrets.token_urlsafe(32)
    return browser_of(request)


def keep_time(request: HttpRequest, kind: VisitKind, starts_at: datetime) -> None:
    """What was typed for another time or kind is kept."""
    kept = request.session.get(DRAFT) or {"key": str(uuid4())}
    request.session[DRAFT] = kept | {"kind": kind.slug, "starts_at": starts_at.isoformat()}


def keep_who(request: HttpRequest, who: WhoComes) -> None:
    request.session[DRAFT] = request.session[DRAFT] | {"who": asdict(who)}


def is_booked(request: HttpRequest, number: int) -> None:
    """The draft is used up. The thank-you page gets its number."""
    request.session.pop(DRAFT, None)
    request.session[BOOKED] = number


def draft_of_known(kind: VisitKind, machine: Machine, time: DeskTime) -> Draft:
    """For a machine that was here before, with its owner."""
    owner = machine.owner
    return Draft(
        key=time.key,
        kind_slug=kind.slug,
        starts_at=time.starts_at,
        name=owner.name,
        email=owner.email,
        telephone=owner.telephone,
        machine_words=machine.words,
        wants=time.wants,
        machine_id=machine.pk,
        told=time.told,
    )


def draft_from(kind: VisitKind, starts_at: datetime, key: UUID, who: WhoComes) -> Draft:
    """Whoever books reads in the language of the page."""
    return Draft(
        key=key,
        kind_slug=kind.slug,
        starts_at=starts_at,
        name=who.name,
        email=who.email,
        telephone=who.telephone,
        machine_words=who.machine_words,
        machine_kind_id=None if who.machine_kind == ANOTHER else int(who.machine_kind),
        year=who.year,
        wants=who.wants,
        sooner=_sooner(who),
        language=language_in_force(),
    )


def _sooner(who: WhoComes) -> AskedSooner | None:
    if who.sooner_notice_hours is None:
        return None
    return AskedSooner(who.sooner_notice_hours, tuple(who.sooner_days))
