"""Personal links: a signature over visit, purpose and the visit's link generation. Nothing is stored."""

from datetime import datetime, timedelta

from django.core.signing import BadSignature, Signer

from garage.core import states
from garage.models.visits import Visit

SHEET, VISIT, REMINDERS, CONFIRM = "sheet", "visit", "reminders", "confirm"
ALL = (SHEET, VISIT, REMINDERS, CONFIRM)
PURPOSES = (SHEET, VISIT)  # what a dead link asks anew for
LIVES_AFTER_THE_END = timedelta(days=365)  # the visit's link, after collection or calling off
LIVES_WITHOUT_AN_END = timedelta(days=365)  # either link, after the last that was heard of a visit that never ended


def token(visit: Visit, purpose: str) -> str:
    """The token in the address, such as "41-1.signature"."""
    return _signer(purpose).sign(f"{visit.pk}-{visit.link_generation}")


def read_token(text: str, purpose: str) -> tuple[int, int] | None:
    """The visit's id and the generation signed for this purpose. None if the signature is not ours."""
    try:
        visit_id, generation = _signer(purpose).unsign(text).split("-")
    except BadSignature:
        return None
    return int(visit_id), int(generation)


def lives(visit: Visit, purpose: str, now: datetime) -> bool:
    """The sheet's link works until the machine arrives or will not come, the visit's until a year after its end, and
    the one to say no to reminders for good. Of a visit that never ends, both run out. Of a booking that nobody has
    confirmed, only the link that does so lives.
    """
    if purpose == REMINDERS:
        return True
    if visit.state in states.UNPROVEN:
        return purpose == CONFIRM
    if has_run_out(visit, now):
        return False
    if purpose == SHEET:
        return visit.arrived_at is None and visit.state in states.COMING
    ended_at = visit.collected_at or visit.called_off_at
    return ended_at is None or now < ended_at + LIVES_AFTER_THE_END


def has_run_out(visit: Visit, now: datetime) -> bool:
    """Of a visit that never ended: a year after its time, its coming, its booking and its latest links, whichever was
    last. New links, of another generation, open it again.
    """
    if visit.collected_at or visit.called_off_at:
        return False
    heard = (visit.booked_at, visit.starts_at, visit.arrived_at, visit.links_anew_at)
    return now >= max(at for at in heard if at) + LIVES_WITHOUT_AN_END


def visit_of_any(text: str) -> Visit | None:
    """The visit of this link, even a revoked one of any purpose. Good enough only for writing to its owner."""
    for purpose in PURPOSES:
        if signed := read_token(text, purpose):
            return Visit.objects.select_related("owner", "machine", "kind").filter(pk=signed[0]).first()
    return None


def _signer(purpose: str) -> Signer:
    return Signer(sep=".", salt=f"garage.personal-link.{purpose}")
