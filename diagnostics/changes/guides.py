"""A guide mailed to an owner: from a visit, or because its owner asked for it."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.guides import GUIDES
from diagnostics.reads.guides import allowed
from diagnostics.reads.rev_out import rev_out_of
from garage.changes import trail
from garage.changes.day import locks
from garage.changes.mail import messages
from garage.core.errors import BadInput, Refused
from garage.core.mail.wording import DO_NOT_RUN
from garage.core.text.languages import told
from garage.models.actors import Actor
from garage.models.visits import Visit
from garage.output.addresses import public_guide_address
from garage.reads.shop import the_shop

GUIDE_SENT = "guide_sent"


@transaction.atomic
def mail(visit: Visit, *, slug: str, by: Actor, now: datetime) -> Guide:
    """Raises BadInput if there is no such guide, Refused without an address or if its test must not be done."""
    visit = locks.visit_for_change(visit)
    guide = next((one for one in GUIDES if one.slug == slug), None)
    if guide is None:
        raise BadInput("Guide", slug, "one of the guides listed")
    if guide not in allowed(GUIDES, why_no_rev_out=rev_out_of(visit).why_not):
        raise Refused(told("This engine must not be revved up, so “{title}” is not sent.", title=told(guide.title)))
    if not visit.owner.email:
        raise Refused(told("There is no email address on file. Read the guide’s address out on the telephone."))
    care = DO_NOT_RUN if visit.is_kept_off else ""
    context = {"guide": guide, "guide_url": public_guide_address(guide.slug), "care": care}
    messages.write(GUIDE_SENT, to=visit.owner.email, visit=visit, shop=the_shop(), context=context, now=now)
    trail.about_visit(visit, f"sent the guide “{guide.title}”", by=by, now=now)
    return guide
