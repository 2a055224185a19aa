"""Every closed visit, for learning, in a handful of queries however many there are."""

from __future__ import annotations

from django.db.models import F, OuterRef, Subquery

from diagnostics.core.learning.closed_visits import ClosedVisit, Judged
from diagnostics.models.causes import Cause
from diagnostics.models.judgements import Acted, KeptJudgement
from diagnostics.models.learning import Closing
from diagnostics.reads.learning import closings_now
from garage.models.shop import ROLLER
from garage.models.visits import Step, Visit


def closed_visits() -> tuple[ClosedVisit, ...]:
    """In the order they were closed."""
    closings = list(closings_now().select_related("visit__kind"))
    causes, judged, taken, ran = _causes(), _judged(), _taken(), _ran()
    return tuple(
        ClosedVisit(
            number=one.visit.number,
            booked=one.visit.kind.booked_as,
            roller_minutes=_roller_minutes(one.visit),
            ran=one.visit_id in ran,
            taken=taken.get(one.visit_id, ""),
            causes=frozenset(fault for fault in causes.get(one.visit_id, ()) if fault),
            has_own_words="" in causes.get(one.visit_id, ()),
            came_back=one.back_since is not None,
            judged=judged.get(one.visit_id),
        )
        for one in closings
    )


def last_before_arrival() -> Subquery:
    """The judgement that is scored: the last one before the machine of the outer visit arrived."""
    before = KeptJudgement.objects.filter(visit=OuterRef("visit"), at__lt=OuterRef("visit__arrived_at"))
    return Subquery(before.order_by("-at", "-id").values("pk")[:1])


def _causes() -> dict[int, list[str]]:
    """Faults by visit; the fault is empty for a cause in the mechanic's own words."""
    found: dict[int, list[str]] = {}
    rows = Cause.objects.filter(withdrawn_at=None, found_good=False, visit__closing__isnull=False)
    for visit_id, fault in rows.values_list("visit_id", "fault"):
        found.setdefault(visit_id, []).append(fault)
    return found


def _judged() -> dict[int, Judged]:
    last = Closing.objects.annotate(last=last_before_arrival()).values("last")
    return {kept.visit_id: _judgement(kept) for kept in KeptJudgement.objects.filter(pk__in=last)}


def _judgement(kept: KeptJudgement) -> Judged:
    judgement = kept.judgement
    return Judged(
        route=judgement.route,
        chances=judgement.chances,
        groups=judgement.groups,
        spoilt_chance=judgement.spoilt_chance,
        because=judgement.because,
        answers=kept.answers,
    )


def _taken() -> dict[int, str]:
    """The last route acted on before the machine arrived; a judgement set aside does not count."""
    acted = Acted.objects.filter(judgement__visit__closing__isnull=False, at__lt=F("judgement__visit__arrived_at"))
    rows = acted.exclude(route="").order_by("at", "id").values_list("judgement__visit_id", "route")
    return dict(rows)


def _ran() -> set[int]:
    steps = Step.objects.filter(visit__closing__isnull=False, at=ROLLER, is_check=False, began_at__isnull=False)
    return set(steps.values_list("visit_id", flat=True))


def _roller_minutes(visit: Visit) -> int:
    """As agreed, or as booked for its kind if the roller time was given back."""
    if visit.kind.at != ROLLER:
        return 0
    return visit.minutes if visit.at == ROLLER else visit.kind.minutes
