"""Every closed visit, for learning, in a handful of queries however many there are."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from django.db.models import F, OuterRef, QuerySet, Subquery

from diagnostics.core.judging.judgement import Judgement
from diagnostics.core.judging.judgement_json import from_json
from diagnostics.core.learning.closed_visits import ClosedVisit, Judged
from diagnostics.models.causes import Cause
from diagnostics.models.judgements import Acted, KeptJudgement
from diagnostics.models.learning import Closing
from diagnostics.models.unnamed import UnnamedCase
from diagnostics.reads.learning import named_closings, unjudged_case
from garage.models.shop import ROLLER
from garage.models.visits import Step, Visit

if TYPE_CHECKING:
    from diagnostics.reads.learning import ClosingNow

UNNAMED = "unnamed"  # stands where a case has its number


def closed_visits() -> tuple[ClosedVisit, ...]:
    """In the order they were closed, those first of which nothing but this is left."""
    named = _closed(named_closings())
    return (*(_unnamed(one) for one in UnnamedCase.objects.all()), *named)


def unnamed_case_of(visit: Visit) -> UnnamedCase | None:
    """What a closed visit taught, without what names it, unsaved. None if its card is not closed now."""
    found = _closed(named_closings().filter(visit=visit), visit=visit)
    if not found:
        return None
    one, kept = found[0], KeptJudgement.objects.filter(pk__in=_last(visit=visit)).first()
    return UnnamedCase(
        booked=one.booked,
        roller_minutes=one.roller_minutes,
        ran=one.ran,
        taken=one.taken,
        causes=sorted(one.causes),
        has_own_words=one.has_own_words,
        came_back=one.came_back,
        case=(kept.case if kept else unjudged_case(visit)) | {"case": UNNAMED},
        result=kept.result if kept else None,
    )


def _closed(closings: QuerySet[ClosingNow], **of: Visit) -> tuple[ClosedVisit, ...]:
    """of: the visit that alone is looked at."""
    causes, judged, taken, ran = _causes(**of), _judged(**of), _taken(**of), _ran(**of)
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
        for one in closings.select_related("visit__kind")
    )


def _unnamed(one: UnnamedCase) -> ClosedVisit:
    return ClosedVisit(
        number=None,
        booked=one.booked,
        roller_minutes=one.roller_minutes,
        ran=one.ran,
        taken=one.taken,
        causes=frozenset(one.causes),
        has_own_words=one.has_own_words,
        came_back=one.came_back,
        judged=_judged_by(from_json(one.result), one.case["answers"]) if one.result else None,
    )


def last_before_arrival() -> Subquery:
    """The judgement that is scored: the last one before the machine of the outer visit arrived."""
    before = KeptJudgement.objects.filter(visit=OuterRef("visit"), at__lt=OuterRef("visit__arrived_at"))
    return Subquery(before.order_by("-at", "-id").values("pk")[:1])


def _causes(**of: Visit) -> dict[int, list[str]]:
    """Faults by visit; the fault is empty for a cause in the mechanic's own words."""
    found: dict[int, list[str]] = {}
    rows = Cause.objects.filter(withdrawn_at=None, found_good=False, visit__closing__isnull=False, **of)
    for visit_id, fault in rows.values_list("visit_id", "fault"):
        found.setdefault(visit_id, []).append(fault)
    return found


def _judged(**of: Visit) -> dict[int, Judged]:
    rows = KeptJudgement.objects.filter(pk__in=_last(**of))
    return {kept.visit_id: _judged_by(kept.judgement, kept.answers) for kept in rows}


def _last(**of: Visit) -> QuerySet[Closing, Any]:
    return Closing.objects.filter(**of).annotate(last=last_before_arrival()).values_list("last")


def _judged_by(judgement: Judgement, answers: Mapping[str, object]) -> Judged:
    return Judged(
        route=judgement.route,
        chances=judgement.chances,
        groups=judgement.groups,
        spoilt_chance=judgement.spoilt_chance,
        because=judgement.because,
        answers=answers,
    )


def _taken(**of: Visit) -> dict[int, str]:
    """The last route acted on before the machine arrived; a judgement set aside does not count."""
    acted = Acted.objects.filter(judgement__visit__closing__isnull=False, at__lt=F("judgement__visit__arrived_at"))
    rows = acted.exclude(route="").order_by("at", "id").values_list("judgement__visit_id", "route")
    return dict(rows.filter(**{f"judgement__{name}": visit for name, visit in of.items()}))


def _ran(**of: Visit) -> set[int]:
    steps = Step.objects.filter(visit__closing__isnull=False, at=ROLLER, is_check=False, began_at__isnull=False, **of)
    return set(steps.values_list("visit_id", flat=True))


def _roller_minutes(visit: Visit) -> int:
    """As agreed, or as booked for its kind if the roller time was given back."""
    if visit.kind.at != ROLLER:
        return 0
    return visit.minutes if visit.at == ROLLER else visit.kind.minutes
