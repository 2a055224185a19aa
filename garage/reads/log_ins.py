"""Who is logged in with which browser, and what happened at the log-in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth import HASH_SESSION_KEY
from django.db.models import QuerySet
from django.http import Http404
from django.utils.crypto import constant_time_compare, salted_hmac

from garage.core.text.browser_words import UNKNOWN
from garage.models.people import Person
from garage.models.sessions import BEGAN, SEEN, SEEN_WITH, BrowserSession
from garage.models.trail import TrailRow

SHOWN = 30
ANY_LOG_IN = "log-in "  # what their rows of the trail are about begins with this


@dataclass(frozen=True)
class LoggedIn:
    """began_at, seen_at: None for a log-in from before these were kept. id: names the session, and opens nothing."""

    id: str
    browser: str
    began_at: datetime | None
    seen_at: datetime | None
    is_this_one: bool


def logged_in(person: Person, *, this_key: str | None, now: datetime) -> list[LoggedIn]:
    """The log-ins that still open something: this one first, then those last seen. this_key: of the session asking."""
    found = [_log_in(key, data, this_key) for key, data in _living(person, now).items()]
    return sorted(found, key=lambda one: (one.is_this_one, one.seen_at.timestamp() if one.seen_at else 0), reverse=True)


def log_in_or_404(person: Person, log_in_id: str, *, this_key: str | None, now: datetime) -> LoggedIn:
    for one in logged_in(person, this_key=this_key, now=now):
        if one.id == log_in_id:
            return one
    raise Http404


def session_with(person: Person, log_in_id: str, *, now: datetime) -> QuerySet[BrowserSession]:
    keys = [key for key in _living(person, now) if _id_of(key) == log_in_id]
    return BrowserSession.objects.filter(person=person, session_key__in=keys)


def about_log_ins(person: Person | None) -> str:
    """What the trail's rows of a person's log-ins are about; of a name that nobody has, without a person."""
    return f"{ANY_LOG_IN}{person.pk}" if person else f"{ANY_LOG_IN}of nobody"


def log_in_trail(person: Person) -> QuerySet[TrailRow]:
    return TrailRow.objects.filter(about=about_log_ins(person))[:SHOWN]


def trail_of_every_log_in() -> QuerySet[TrailRow]:
    return TrailRow.objects.filter(about__startswith=ANY_LOG_IN)[:SHOWN]


def _living(person: Person, now: datetime) -> dict[str, Mapping[str, Any]]:
    """By key, what each session holds. One from before a new password opens nothing any more."""
    rows = BrowserSession.objects.filter(person=person, expire_date__gt=now)
    held = {row.session_key: row.get_decoded() for row in rows}
    own = [person.get_session_auth_hash(), *person.get_session_auth_fallback_hash()]  # a change of the key ends none
    return {key: data for key, data in held.items() if _is_one_of(own, data.get(HASH_SESSION_KEY, ""))}


def _is_one_of(own: Sequence[str], hashed: str) -> bool:
    return any(constant_time_compare(hashed, one) for one in own)


def _log_in(key: str, data: Mapping[str, Any], this_key: str | None) -> LoggedIn:
    began, seen = (datetime.fromisoformat(data[at]) if data.get(at) else None for at in (BEGAN, SEEN))
    return LoggedIn(_id_of(key), data.get(SEEN_WITH, UNKNOWN), began, seen, is_this_one=key == this_key)


def _id_of(key: str) -> str:
    return salted_hmac("garage.log_ins", key, algorithm="sha256").hexdigest()[:16]
