"""Personal links: a signature over visit, purpose and the generation kept on the visit. Nothing is stored."""

from datetime import datetime, timedelta

from django.core.signing import BadSignature, Signer

from garage.core import states
from garage.models.visits import Visit

SHEET, VISIT = "sheet", "visit"
PURPOSES = (SHEET, VISIT)
LIVES_AFTER_THE_END = timedelta(days=365)  # the visit's link, after collection or calling off


def token(visit: Visit, purpose: str) -> str:
    """What stands in the address: as "41-1.signature"."""
    return _signer(purpose).sign(f"{visit.pk}-{visit.link_generation}")


def read_token(text: str, purpose: str) -> tuple[int, int] | None:
    """The visit's id and the generation that were signed for this purpose; None for anything that was not."""
    try:
        visit_id, generation = _signer(purpose).unsign(text).split("-")
    except BadSignature:
        return None
    return int(visit_id), int(generation)


def lives(visit: Visit, purpose: str, now: datetime) -> bool:
    """The sheet's link until the machine arrives or will not, the visit's for a year after its end."""
    if purpose == SHEET:
        return visit.arrived_at is None and visit.state in states.COMING
    ended_at = visit.collected_at or visit.called_off_at
    return ended_at is None or now < ended_at + LIVES_AFTER_THE_END


def visit_of_any(text: str) -> Visit | None:
    """Whose link this is or once was, whatever its purpose and generation: good for writing to its owner only."""
    for purpose in PURPOSES:
        if signed := read_token(text, purpose):
            return Visit.objects.select_related("owner", "machine", "kind").filter(pk=signed[0]).first()
    return None


def _signer(purpose: str) -> Signer:
    return Signer(sep=".", salt=f"garage.personal-link.{purpose}")
