"""The judgement of a visit as rows, and as the workshop's page shows it."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, QuerySet

from diagnostics.models.judgements import Acted, Judgement
from garage.core import states
from garage.models.visits import Visit


def latest(visit: Visit) -> Judgement | None:
    return Judgement.objects.filter(visit=visit).select_related("learned").first()


def judged_visits() -> QuerySet[Visit]:
    """Open visits that have a judgement."""
    judged = Judgement.objects.filter(visit=OuterRef("pk"))
    rows = Visit.objects.select_related("owner", "machine", "machine__kind", "kind")
    return rows.filter(Exists(judged)).exclude(state__in=states.OVER)


def acted_on(judgement: Judgement) -> Acted | None:
    """Who settled it, if anybody did."""
    return Acted.objects.filter(judgement=judgement).select_related("by").first()


def latest_acted(visit: Visit) -> Acted | None:
    return Acted.objects.filter(judgement__visit=visit).select_related("by").order_by("-at", "-id").first()
