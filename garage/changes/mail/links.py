"""Personal links: all earlier ones are revoked at once, and a fresh one goes to the address on file."""

from datetime import datetime, timedelta

from django.db import transaction

from garage.changes import trail
from garage.changes.mail import messages
from garage.changes.people import attempts
from garage.core import states
from garage.core.errors import Refused
from garage.models.actors import OWNER, Actor
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads import links
from garage.reads.shop import the_shop

MOST_ASKED = {"fresh-link-from": 10, "fresh-link-for": 3}  # per hour: from one network address, for one visit
HOUR = timedelta(hours=1)


def revoke(visit: Visit, *, by: Person, now: datetime) -> None:
    """Revokes every link issued so far."""
    with transaction.atomic():
        row = Visit.objects.select_for_update().get(pk=visit.pk)
        _issue_anew(row, now=now)
        trail.about_visit(row, "revoked the personal links", by=by, now=now)


def send_fresh(visit: Visit, *, by: Person, now: datetime) -> None:
    """To the owner's address, without a limit for the workshop."""
    if visit.state in states.UNPROVEN:
        raise Refused(f"Visit {visit.number} is {visit.state_words}: its links work once it is confirmed.")
    _send(visit, by=by, now=now)


def _send(visit: Visit, *, by: Actor, now: datetime) -> None:
    """Those of the two links that still work. If neither does, nothing is sent.

    Those of a visit that never ended work again if they had run out, but only the new ones: whoever found an old one
    cannot wake it by asking.
    """
    with transaction.atomic():
        row = Visit.objects.select_for_update(of=("self",)).select_related("owner", "machine", "kind").get(pk=visit.pk)
        if links.has_run_out(row, now):
            _issue_anew(row, now=now)
        lives = {f"{purpose}_lives": links.lives(row, purpose, now) for purpose in links.PURPOSES}
        if not any(lives.values()):
            return
        messages.write("fresh_link", to=row.owner.email, visit=row, shop=the_shop(), context=lives, now=now)
        trail.about_visit(row, "sent a fresh personal link", by=by, now=now)


def _issue_anew(row: Visit, *, now: datetime) -> None:
    row.link_generation += 1
    row.links_anew_at = now
    row.save(update_fields=["link_generation", "links_anew_at"])


def ask_for_fresh(token: str, *, address_key: str, now: datetime) -> None:
    """Somebody with a dead link asks for a fresh one. Nothing visible from outside reveals what was done."""
    if not _may_ask("fresh-link-from", address_key, now=now):
        return
    visit = links.visit_of_any(token)
    if visit and visit.owner.email and _may_ask("fresh-link-for", attempts.hashed(str(visit.pk)), now=now):
        _send(visit, by=OWNER, now=now)


def _may_ask(what: str, key: str, *, now: datetime) -> bool:
    return attempts.claimed(what, caps=[(key, MOST_ASKED[what])], within=HOUR, now=now) is not None
