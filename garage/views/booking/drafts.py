"""What one browser has chosen and typed of a booking, kept in its session until it is booked: nothing is lost."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid4

from django.http import HttpRequest

from garage.core.selling.draft import Draft
from garage.models.owners import Machine
from garage.models.shop import VisitKind
from garage.reads import access
from garage.views.booking.forms import ANOTHER

BROWSER, DRAFT, BOOKED = "browser", "booking", "booked"
WHO = ("name", "email", "telephone", "machine_kind", "machine_words", "year", "wants")


@dataclass(frozen=True)
class Chosen:
    """The kind and time chosen, and what has been typed so far."""

    kind: VisitKind
    starts_at: datetime
    who: Mapping[str, object]
    key: UUID

    @property
    def is_complete(self) -> bool:
        return bool(self.who)


def browser_of(request: HttpRequest) -> str:
    """A random key of this browser, made when it first holds a time."""
    return request.session.get(BROWSER, "")


def chosen(request: HttpRequest) -> Chosen | None:
    """None when no time has been chosen yet, or what was chosen is not offered any more."""
    kept = request.session.get(DRAFT)
    if not kept or "starts_at" not in kept:
        return None
    kind = access.offered_kinds().filter(slug=kept["kind"]).first()
    if kind is None:
        return None
    return Chosen(kind, datetime.fromisoformat(kept["starts_at"]), kept.get("who", {}), UUID(kept["key"]))


def new_browser(request: HttpRequest) -> str:
    if not browser_of(request):
        request.session[BROWSER] = secrets.token_urlsafe(32)
    return browser_of(request)


def keep_time(request: HttpRequest, kind: VisitKind, starts_at: datetime) -> None:
    """What was typed before, for another time or kind, stays."""
    kept = request.session.get(DRAFT) or {"key": str(uuid4())}
    request.session[DRAFT] = kept | {"kind": kind.slug, "starts_at": starts_at.isoformat()}


def keep_who(request: HttpRequest, typed: Mapping[str, object]) -> None:
    request.session[DRAFT] = request.session[DRAFT] | {"who": {name: typed.get(name) for name in WHO}}


def is_booked(request: HttpRequest, number: int) -> None:
    """The draft is used up; the page of thanks knows its number."""
    request.session.pop(DRAFT, None)
    request.session[BOOKED] = number


def draft_of(found: Chosen) -> Draft:
    return draft_from(found.kind, found.starts_at, found.key, found.who)


def draft_of_known(kind: VisitKind, machine: Machine, typed: Mapping[str, object]) -> Draft:
    """Of a machine that was here before, with its owner."""
    owner = machine.owner
    return Draft(
        key=typed["key"],
        kind_slug=kind.slug,
        starts_at=typed["starts_at"],
        name=owner.name,
        email=owner.email,
        telephone=owner.telephone,
        machine_words=machine.words,
        wants=str(typed["wants"] or ""),
        machine_id=machine.pk,
    )


def draft_from(kind: VisitKind, starts_at: datetime, key: UUID, typed: Mapping[str, object]) -> Draft:
    picked = typed["machine_kind"]
    return Draft(
        key=key,
        kind_slug=kind.slug,
        starts_at=starts_at,
        name=str(typed["name"]),
        email=str(typed["email"] or ""),
        telephone=str(typed["telephone"]),
        machine_words=str(typed["machine_words"]),
        machine_kind_id=None if picked == ANOTHER else int(str(picked)),
        year=typed["year"] or None,
        wants=str(typed["wants"] or ""),
    )
