"""The judgements of a visit, who settled them, and the state of the visit for its owner."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, QuerySet

from diagnostics.core.telling.owner_words import Standing
from diagnostics.models.judgements import Acted, KeptJudgement
from garage.core import money, states
from garage.core.selling.owner_choice import MYSELF
from garage.models.shop import ROLLER, Shop
from garage.models.visits import Visit


def latest(visit: Visit) -> KeptJudgement | None:
    return KeptJudgement.objects.filter(visit=visit).select_related("learned").first()


def judged_visits() -> QuerySet[Visit]:
    """Open visits that have a judgement."""
    judged = KeptJudgement.objects.filter(visit=OuterRef("pk"))
    rows = Visit.objects.select_related("owner", "machine", "machine__kind", "kind")
    return rows.filter(Exists(judged)).exclude(state__in=states.OVER)


def acted_on(kept: KeptJudgement) -> Acted | None:
    """How it was settled, or None."""
    return Acted.objects.filter(judgement=kept).select_related("by").first()


def latest_acted(visit: Visit) -> Acted | None:
    return Acted.objects.filter(judgement__visit=visit).select_related("by").order_by("-at", "-id").first()


def how_it_stands(visit: Visit, shop: Shop, *, is_decided: bool) -> Standing:
    return Standing(
        is_roller_visit=visit.kind.at == ROLLER,
        is_decided=is_decided,
        has_time=visit.starts_at is not None,
        deposit_words=money.pounds_words(visit.deposit_paid) if visit.deposit_paid else "",
        is_asked=visit.waits_for_its_owner,
        picks_a_time=visit.choice == MYSELF and visit.starts_at is None,
        choose_by_words=shop.local_time.in_words(visit.choose_by) if visit.choose_by else "",
    )
