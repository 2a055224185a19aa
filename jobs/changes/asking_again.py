"""An owner who was asked about more work and has not answered is asked once more, and then stands on the ring list."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.changes.mail import messages
from garage.core.money import pounds_words
from garage.models.actors import SYSTEM
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.output.addresses import asked_address
from garage.reads import links
from garage.reads.opening import LOOKED_AHEAD_DAYS, open_days
from garage.reads.shop import the_shop
from jobs.changes.consents import tell_the_desk
from jobs.core.asking_again import ask_again_at
from jobs.models.consents import AskedAgain, Consent
from jobs.reads.consents import not_answered

MAIL = "may_we_do_more_again"


def ask_all_again(*, now: datetime) -> None:
    """Looks without a lock first. Nothing at night."""
    shop = the_shop()
    if not shop.ask_again_hours or shop.quiet_hours.is_quiet(now, shop.local_time):
        return
    for consent in not_answered(asked_by=now - timedelta(hours=shop.ask_again_hours)):
        if _is_due(consent, shop, now=now):
            ask_again(consent, now=now)


@transaction.atomic
def ask_again(consent: Consent, *, now: datetime) -> None:
    """Looked at anew behind the visit's lock: a second worker finds it asked again, or answered."""
    visit, shop = visit_for_change(consent.visit), the_shop()
    if not not_answered(asked_by=now).filter(pk=consent.pk).exists():
        return
    AskedAgain.objects.create(consent=consent, at=now)
    if visit.owner.email:
        _mail(consent, visit, shop, now)
    tell_the_desk(visit)
    did = f"reminded: asked about more work, {pounds_words(consent.price)}"
    trail.about_visit(visit, did, by=SYSTEM, now=now, consent=consent.pk)


def _is_due(consent: Consent, shop: Shop, *, now: datetime) -> bool:
    local = shop.local_time
    first = local.day(consent.asked_at)
    last = min(local.day(now), first + timedelta(days=LOOKED_AHEAD_DAYS))
    due_at = ask_again_at(consent.asked_at, shop.ask_again_hours, open_days(shop, first, last), local, last=last)
    return due_at is not None and due_at <= now


def _mail(consent: Consent, visit: Visit, shop: Shop, now: datetime) -> None:
    url = asked_address(links.token(visit, links.VISIT), consent.pk)
    context = {"consent": consent, "asked_url": url}
    messages.write(MAIL, to=visit.owner.email, visit=visit, shop=shop, context=context, now=now)
