"""All guides in reading order, and which of them a place leads to."""

from __future__ import annotations

from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.looking_guides import LOOKING
from diagnostics.core.guides.running_guides import RUNNING

GUIDES: tuple[Guide, ...] = tuple(sorted((*RUNNING, *LOOKING), key=lambda guide: guide.place))


def guide_at(slug: str) -> Guide | None:
    """The guide with that address.

    >>> guide_at("rev-out").title
    'The rev-out'
    """
    return next((guide for guide in GUIDES if guide.slug == slug), None)


def guides_for_question(question: str) -> tuple[Guide, ...]:
    """The guides that teach how to answer a question of the check sheet."""
    return tuple(guide for guide in GUIDES if question in guide.questions)


def guides_for_step(step: str) -> tuple[Guide, ...]:
    """The guides that teach a step of the bench."""
    return tuple(guide for guide in GUIDES if step in guide.steps)


def guides_for_route(route: str) -> tuple[Guide, ...]:
    """The guides that an owner sent on that route can use."""
    return tuple(guide for guide in GUIDES if route in guide.routes)


def guides_for_mail(mail: str) -> tuple[Guide, ...]:
    """The guides that a message leads to."""
    return tuple(guide for guide in GUIDES if mail in guide.mails)
