"""What the rules of an owner's choice (core/selling/owner_choice.py) take, read from the rows, and whose time is up."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from django.db.models import QuerySet

from garage.core import states
from garage.core.errors import Refused
from garage.core.selling.owner_choice import ASKED, WITH_US, ChoiceFacts, check_may_take_time, floor_places_left
from garage.models.shop import ROLLER, Shop
from garage.models.visits import TakeIn, Visit


def choice_facts_of(visit: Visit, shop: Shop) -> ChoiceFacts:
    return replace(_facts(visit), floor_places=floor_places_free(shop))


def is_choice_open(visit: Visit) -> bool:
    """Whether its owner has something to choose, whatever there is room for."""
    return _facts(visit).is_open


def may_take_time(visit: Visit) -> bool:
    """Whether its owner picks a new time by the link."""
    try:
        check_may_take_time(_facts(visit), "")
    except Refused:
        return False
    return True


def _facts(visit: Visit) -> ChoiceFacts:
    """Without the floor places, which take a look at every machine."""
    return ChoiceFacts(
        state=visit.state,
        route=visit.route,
        choice=visit.choice,
        has_time=visit.starts_at is not None,
        is_kept_off=visit.is_kept_off and visit.kind.at == ROLLER,
    )


def floor_places_free(shop: Shop) -> int:
    """Places for a machine that stays overnight that nobody has or was promised."""
    overnight = TakeIn.objects.filter(stays_overnight=True, visit__state__in=states.IN_THE_BUILDING).count()
    promised = Visit.objects.filter(choice=WITH_US, state__in=states.COMING).count()
    return floor_places_left(shop.floor_places, overnight=overnight, promised=promised)


def unanswered(now: datetime) -> QuerySet[Visit]:
    """Visits whose owner was asked and has not answered within the shop's limit."""
    return Visit.objects.filter(choice=ASKED, choose_by__lte=now, state__in=states.COMING).order_by("choose_by", "pk")
