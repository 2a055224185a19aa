"""The garage's own past days as they were booked, judged and worked on, in a handful of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime, timedelta

from django.db.models import Exists, F, OuterRef, Prefetch, Q

from diagnostics.core.bank.bank import Bank
from diagnostics.models.causes import Cause
from diagnostics.models.judgements import KeptJudgement
from diagnostics.reads.learning import closings_now
from garage.core import states
from garage.core.money import to_pence
from garage.core.planning.weeks.booked_days import PastDay, RollerVisit
from garage.core.time.day_minutes import minute_of
from garage.core.time.local_time import LocalTime
from garage.models.shop import BENCH, ROLLER, Shop
from garage.models.visits import Step, Visit
from garage.reads.day_problem import DaysRead, problem_of, read_days

LOOKED_BACK = timedelta(days=91)  # so that hours and people of now are mostly those of then; no source
FIX_MIN = 50  # planned for putting right what fails its check and was never worked on; no source


def past_days(bank: Bank, shop: Shop, most: int, *, now: datetime) -> tuple[PastDay, ...]:
    """The newest days before today, at most so many, on which machines were booked for the rollers, oldest first.

    A visit is left out while its card is not closed, unless it did not come. Hours, stations and people are those of
    the shop now.
    """
    by_day = _visits_by_day(shop.local_time, now)
    days = sorted(by_day)[-most:]
    if not days:
        return ()
    read = read_days(days[0], days[-1], now, shop)
    visits = [visit for day in days for visit in by_day[day]]
    facts = _Facts(shop.local_time, _spoilt(bank, visits), _chances(visits))
    made = (_day(read, day, tuple(facts.of(visit, day) for visit in by_day[day])) for day in days)
    return tuple(day for day in made if day.people)


def _visits_by_day(local: LocalTime, now: datetime) -> dict[date, list[Visit]]:
    is_known = Exists(closings_now().filter(visit=OuterRef("pk"))) | Q(state=states.DID_NOT_COME)
    since, until = now - LOOKED_BACK, local.at_minute(local.day(now), 0)
    worked = Prefetch("steps", queryset=Step.objects.filter(began_at__isnull=False, ended_at__isnull=False))
    rows = Visit.objects.filter(is_known, at=ROLLER, starts_at__gte=since, starts_at__lt=until)
    found: dict[date, list[Visit]] = defaultdict(list)
    for visit in rows.select_related("kind").prefetch_related(worked).order_by("starts_at", "number"):
        if visit.starts_at is not None:
            found[local.day(visit.starts_at)].append(visit)
    return found


def _spoilt(bank: Bank, visits: Sequence[Visit]) -> frozenset[int]:
    """The visits of which a confirmed cause spoils what was booked, by the bank's own list."""
    booked = {visit.pk: visit.kind.booked_as for visit in visits}
    known = frozenset(bank.fault_ids)
    rows = Cause.objects.filter(withdrawn_at=None, found_good=False, visit__in=booked)
    return frozenset(
        visit
        for visit, fault in rows.values_list("visit_id", "fault")
        if fault in known and booked[visit] in bank.fault(fault).spoils
    )


def _chances(visits: Sequence[Visit]) -> dict[int, float]:
    """The chance to be ready that was judged last before the machine came in, by visit."""
    before = KeptJudgement.objects.filter(visit__in=visits, at__lt=F("visit__arrived_at")).order_by("at", "id")
    last = dict(before.values_list("visit_id", "pk"))
    kept = KeptJudgement.objects.filter(pk__in=last.values())
    return {one.visit_id: 1 - one.judgement.spoilt_chance for one in kept}


class _Facts:
    def __init__(self, local: LocalTime, spoilt: frozenset[int], chances: dict[int, float]) -> None:
        self.local, self.spoilt, self.chances = local, spoilt, chances

    def of(self, visit: Visit, day: date) -> RollerVisit:
        steps = list(visit.steps.all())
        on_rollers = tuple(self._minutes(day, step) for step in steps if step.at == ROLLER)
        checks = [self._long(day, step) for step in steps if step.is_check]
        repairs = [self._long(day, step) for step in steps if step.at == BENCH and not step.is_check]
        return RollerVisit(
            number=str(visit.number),
            promised=0 if visit.starts_at is None else self.local.minute_of_day(visit.starts_at),
            roller_min=visit.minutes,
            worth_pence=to_pence(visit.price),
            ready=self.chances.get(visit.pk, visit.ready_chance),
            is_spoilt=visit.pk in self.spoilt,
            came=visit.state != states.DID_NOT_COME,
            check_min=sum(checks) or None,
            bench_min=sum(repairs) or None,
            on_rollers=tuple((begin, end) for begin, end in on_rollers if end > begin),
            was_fixed=bool(repairs),
        )

    def _minutes(self, day: date, step: Step) -> tuple[int, int]:
        """Begin and end on that day; what was done on another day is as long as nothing."""
        if step.began_at is None or step.ended_at is None or self.local.day(step.began_at) != day:
            return 0, 0
        return self.local.minute_from(day, step.began_at), self.local.minute_from(day, step.ended_at)

    def _long(self, day: date, step: Step) -> int:
        begin, end = self._minutes(day, step)
        return end - begin


def _day(read: DaysRead, day: date, visits: tuple[RollerVisit, ...]) -> PastDay:
    problem, hours = problem_of(read, day), read.opening.by_weekday.get(day.weekday())
    return PastDay(
        opens=0 if hours is None else minute_of(hours.opens),
        closes=0 if hours is None else minute_of(hours.closes),
        rollers=problem.rollers,
        benches=problem.benches,
        people=() if hours is None else problem.people,
        check_min=read.shop.gate_minutes,
        fix_min=FIX_MIN,
        visits=visits,
    )
