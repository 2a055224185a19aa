"""Closed visits, for learning, in a handful of queries however many there are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from django.db.models import F, OuterRef, QuerySet, Subquery

from diagnostics.core.findings import Case, read_case
from diagnostics.core.judging.judgement import Judgement
from diagnostics.core.judging.judgement_json import from_json
from diagnostics.core.learning.closed_visits import ClosedVisit, Judged, why_not
from diagnostics.core.learning.counts import story_of
from diagnostics.core.learning.sums import story_words
from diagnostics.models.causes import Cause
from diagnostics.models.judgements import Acted, KeptJudgement
from diagnostics.models.learned_sums import Taught
from diagnostics.models.learning import Closing
from diagnostics.models.unnamed import UnnamedCase
from diagnostics.reads.bank import the_bank
from diagnostics.reads.learning import named_closings, unjudged_case
from garage.models.shop import ROLLER
from garage.models.visits import Step, Visit

if TYPE_CHECKING:
    pass

if TYPE_CHECKING:
    from diagnostics.reads.learning import ClosingNow

UNNAMED = "unnamed"  # stands where a case has its number


def closed_visits() -> tuple[ClosedVisit, ...]:
    """In the order they were closed, those first of which nothing but this is left."""
    named = _closed(named_closings().select_related("visit__kind"), _judged())
    return (*(_unnamed(one) for one in UnnamedCase.objects.all()), *named)


def unnamed_case_of(visit: Visit) -> UnnamedCase | None:
    """What a closed visit taught, without what names it, unsaved. None if its card is not closed now."""
    found = taught_now([visit.pk])
    if not found:
        return None
    one, kept = found[0], found[0].judgement
    return UnnamedCase(
        booked=one.booked,
        roller_minutes=one.roller_minutes,
        ran=one.ran,
        taken=one.taken,
        causes=one.causes,
        has_own_words=one.has_own_words,
        came_back=one.came_back,
        case=(kept.case if kept else unjudged_case(visit)) | {"case": UNNAMED},
        result=kept.result if kept else None,
    )


def taught_now(visits: Sequence[int]) -> list[Taught]:
    """What the closed cards among these visits teach as they are now, unsaved, in the order they were closed."""
    closings = list(named_closings().filter(visit__in=visits).select_related("visit__kind", "visit__machine__kind"))
    kept = {row.visit_id: row for row in KeptJudgement.objects.filter(pk__in=_last(visit__in=visits))}
    judged = {visit_id: _judged_by(row.judgement, row.answers) for visit_id, row in kept.items()}
    found, bank = [], the_bank()
    for closing, one in zip(closings, _closed(closings, judged, visit__in=visits), strict=True):
        judgement = kept.get(closing.visit_id)
        case = read_case(bank, judgement.case if judgement else unjudged_case(closing.visit))
        found.append(_taught(one, case, closing=closing, judgement=judgement))
    return found


def taught_unnamed(cases: Iterable[UnnamedCase]) -> list[Taught]:
    return [_taught(_unnamed(one), read_case(the_bank(), one.case), unnamed=one) for one in cases]


def _taught(one: ClosedVisit, case: Case, **of: Closing | UnnamedCase | KeptJudgement | None) -> Taught:
    bank = the_bank()
    return Taught(
        booked=one.booked,
        roller_minutes=one.roller_minutes,
        ran=one.ran,
        taken=one.taken,
        causes=sorted(one.causes),
        has_own_words=one.has_own_words,
        came_back=one.came_back,
        story=story_words(story_of(bank, case)),
        why_not=why_not(bank, one),
        **of,
    )


def visit_of(row: Taught) -> ClosedVisit:
    """What is in the sums of it, as a closed visit without its number."""
    judged = None
    if row.judgement is not None:
        judged = _judged_by(row.judgement.judgement, row.judgement.answers)
    elif row.unnamed is not None:
        judged = _unnamed(row.unnamed).judged
    return ClosedVisit(
        number=None,
        booked=row.booked,
        roller_minutes=row.roller_minutes,
        ran=row.ran,
        taken=row.taken,
        causes=frozenset(row.causes),
        has_own_words=row.has_own_words,
        came_back=row.came_back,
        judged=judged,
    )


def _closed(
    closings: Iterable[ClosingNow], judged: Mapping[int, Judged], **of: Sequence[int]
) -> tuple[ClosedVisit, ...]:
    """of: the visits that alone are looked at."""
    causes, taken, ran = _causes(**of), _taken(**of), _ran(**of)
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


def _causes(**of: Sequence[int]) -> dict[int, list[str]]:
    """Faults by visit; the fault is empty for a cause in the mechanic's own words."""
    found: dict[int, list[str]] = {}
    rows = Cause.objects.filter(withdrawn_at=None, found_good=False, visit__closing__isnull=False, **of)
    for visit_id, fault in rows.values_list("visit_id", "fault"):
        found.setdefault(visit_id, []).append(fault)
    return found


def _judged() -> dict[int, Judged]:
    rows = KeptJudgement.objects.filter(pk__in=_last())
    return {kept.visit_id: _judged_by(kept.judgement, kept.answers) for kept in rows}


def _last(**of: Sequence[int]) -> QuerySet[Closing, Any]:
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


def _taken(**of: Sequence[int]) -> dict[int, str]:
    """The last route acted on before the machine arrived; a judgement set aside does not count."""
    acted = Acted.objects.filter(judgement__visit__closing__isnull=False, at__lt=F("judgement__visit__arrived_at"))
    rows = acted.exclude(route="").order_by("at", "id").values_list("judgement__visit_id", "route")
    return dict(rows.filter(**{f"judgement__{name}": visits for name, visits in of.items()}))


def _ran(**of: Sequence[int]) -> set[int]:
    steps = Step.objects.filter(visit__closing__isnull=False, at=ROLLER, is_check=False, began_at__isnull=False, **of)
    return set(steps.values_list("visit_id", flat=True))


def _roller_minutes(visit: Visit) -> int:
    """As agreed, or as booked for its kind if the roller time was given back."""
    if visit.kind.at != ROLLER:
        return 0
    return visit.minutes if visit.at == ROLLER else visit.kind.minutes
