"""Work begins and ends at a station: the day sheet draws it black."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Max, Q, QuerySet

from garage import events
from garage.changes import trail
from garage.changes.day import freed
from garage.changes.day.locks import visit_for_change
from garage.changes.day.whereabouts import is_now
from garage.core import roller_rule, states
from garage.core.errors import Refused
from garage.core.planning.day_rules import NotYet, skills_of, step_now, why_not_yet
from garage.core.roller_rule import RollerAct
from garage.models.people import Person
from garage.models.shop import BENCH, PLACE_WORDS, ROLLER, Station
from garage.models.visits import Step, Visit
from garage.reads.day_problem import steps_with_people, visit_to_plan
from garage.reads.pinned_days import HandPin, check_can_be_fixed
from garage.reads.roller_facts import roller_facts_of


def _locked(step: Step) -> Step:
    Visit.objects.select_for_update().get(pk=step.visit_id)
    return Step.objects.select_related("visit", "by").get(pk=step.pk)


@transaction.atomic
def begin(step: Step, *, by: Person, now: datetime, station: int) -> Step:
    """The person starts this step. Nothing begins on the rollers without a passed gate or a recorded override."""
    step = _locked(step)
    visit = step.visit
    steps = list(steps_with_people().filter(visit=visit))
    _check_it_may_begin(visit, steps, [one.pk for one in steps].index(step.pk), by)
    _check_person(step, by)
    _check_station(step, station)
    _check_it_is_strapped_there(step, station)
    _moves_to(visit, step.at)
    step.began_at, step.by, step.station = now, by, station
    step.save(update_fields=["began_at", "by", "station"])
    events.step_begun.send(sender=Step, step=step, by=by, now=now)
    trail.about_visit(visit, f"{step.what} begun at {_place(step)}", by=by, now=now)
    return step


@transaction.atomic
def put_on_the_rollers(visit: Visit, *, by: Person, now: datetime, station: int) -> Step | None:
    """To be strapped down, not yet to be run: only the gate does it, once its part at the bench is passed.

    The visit's next session takes the roller from now on. None if no session is planned.
    """
    visit = visit_for_change(visit)
    roller_rule.check(RollerAct.STAND_THERE, roller_facts_of(visit))
    if not by.does_rollers:
        raise Refused(_no_skill(ROLLER, by))
    step = Step.objects.filter(visit=visit, at=ROLLER, began_at=None).select_related("visit").order_by("index").first()
    _check_person(step, by)
    _check_station(step or Step(visit=visit, at=ROLLER), station)
    _moves_to(visit, ROLLER)
    if step:
        step.strapped_from, step.by, step.station = now, by, station
        step.save(update_fields=["strapped_from", "by", "station"])
    trail.about_visit(visit, f"put on roller {station}, to be strapped down", by=by, now=now)
    return step


@transaction.atomic
def take_off_the_rollers(visit: Visit, *, by: Person, now: datetime) -> Visit:
    """It stood there for the gate's second part and comes off without having run."""
    visit = visit_for_change(visit)
    Step.objects.filter(visit=visit, began_at=None, strapped_from__isnull=False).update(
        strapped_from=None, by=None, station=None
    )
    if visit.state == states.ON_THE_ROLLERS:
        is_now(visit, states.HERE)
        trail.about_visit(visit, "taken off the rollers before it was run", by=by, now=now)
    return visit


def _moves_to(visit: Visit, at: str) -> None:
    there = states.ON_THE_ROLLERS if at == ROLLER else states.ON_THE_BENCH
    if visit.state != there:
        is_now(visit, there)


def _check_it_may_begin(visit: Visit, steps: Sequence[Step], index: int, by: Person) -> None:
    planned = visit_to_plan(visit, steps)
    skills = skills_of(does_bench=by.does_bench, does_rollers=by.does_rollers)
    why = why_not_yet(planned, index, skills)
    if why is NotYet.KEPT_OFF:
        roller_rule.check(RollerAct.GO_ON, planned.roller_facts)
    elif why is not None:
        raise Refused(_refusal(why, visit, steps[index], steps[step_now(planned) or 0], by))


def _refusal(why: NotYet, visit: Visit, step: Step, first: Step, by: Person) -> str:
    """first: the step whose turn it is."""
    return {
        NotYet.BEGUN: f"The {step.what} of visit {visit.number} has already begun.",
        NotYet.NOT_HERE: states.why_not_here(visit.number, visit.state),
        NotYet.NO_SKILL: _no_skill(step.at, by),
        NotYet.NOT_ITS_TURN: f"The {first.what} comes before the {step.what}: end it first.",
    }[why]


def _no_skill(at: str, by: Person) -> str:
    return f"{by.name} is not down for work at the {PLACE_WORDS[at]}. See The shop, people."


def _check_person(step: Step | None, by: Person) -> None:
    """step: the one to begin, which may stand on the rollers already, with its person."""
    others = _running().filter(by=by)
    running = (others.exclude(pk=step.pk) if step else others).select_related("visit").first()
    if running:
        raise Refused(f"{by.name} is still on the {running.what} of visit {running.visit.number}: end that first.")


def _check_station(step: Step, station: int) -> None:
    if not Station.objects.filter(kind=step.at, number=station).exists():
        count = Station.objects.filter(kind=step.at).count()
        raise Refused(f"There is no {step.at} {station}: the shop has 1 to {count}.")
    others = _running().filter(at=step.at, station=station).exclude(pk=step.pk)
    other = others.select_related("visit").first()
    if other:
        raise Refused(f"{_place(other).capitalize()} is taken by visit {other.visit.number} ({other.what}).")


def _check_it_is_strapped_there(step: Step, station: int) -> None:
    if step.strapped_from and step.visit.state == states.ON_THE_ROLLERS and step.station != station:
        raise Refused(
            f"It is strapped down on roller {step.station}: begin there, or take it off and strap it down again."
        )


def _running() -> QuerySet[Step]:
    """What holds its station and its person: work begun, and a machine that is being strapped down."""
    is_strapped_down = Q(strapped_from__isnull=False, visit__state=states.ON_THE_ROLLERS)
    return Step.objects.filter(Q(began_at__isnull=False) | is_strapped_down, ended_at=None)


def running_step(step: Step) -> Step:
    """The step that runs, locked. Call it inside a transaction. Raises Refused if it does not run."""
    step = _locked(step)
    if not step.began_at:
        raise Refused(f"The {step.what} of visit {step.visit.number} has not begun.")
    if step.ended_at:
        raise Refused(f"The {step.what} of visit {step.visit.number} is already over.")
    return step


@transaction.atomic
def end(step: Step, *, by: Person, now: datetime) -> Step:
    """The step is over. The machine is here again unless a person says otherwise."""
    step = running_step(step)
    step.ended_at = max(now, step.began_at or now)
    step.save(update_fields=["ended_at"])
    visit = step.visit
    if visit.state in {states.ON_THE_BENCH, states.ON_THE_ROLLERS}:
        is_now(visit, states.HERE)
    events.step_ended.send(sender=Step, step=step, by=by, now=now)
    trail.about_visit(visit, f"{step.what} ended at {_place(step)}", by=by, now=now)
    if step.at == ROLLER:
        freed.finished_early(visit, now=now)
    return step


@transaction.atomic
def was_done(step: Step, *, began_at: datetime, by: Person, now: datetime) -> Step:
    """A check done on its own page. A running step is ended, one not begun counts as done from began_at to now, but not
    from before the visit's last step was over: the rest of a check that paused has run since.
    """
    step = _locked(step)
    if step.began_at:
        return end(step, by=by, now=now)
    over = step.visit.steps.aggregate(last=Max("ended_at"))["last"]
    began_at = max(began_at, over or began_at)
    if step.at == ROLLER and not step.is_check:
        roller_rule.check(RollerAct.GO_ON, roller_facts_of(step.visit))
    taken = _running().filter(at=step.at).values_list("station", flat=True)
    free = Station.objects.filter(kind=step.at).exclude(number__in=[number for number in taken if number]).first()
    step.station = free.number if free else step.pin_station or 1
    step.began_at, step.ended_at, step.by = began_at, max(now, began_at), by
    step.save(update_fields=["station", "began_at", "ended_at", "by"])
    trail.about_visit(step.visit, f"{step.what} done at {_place(step)}", by=by, now=now)
    return step


@transaction.atomic
def pin(
    step: Step, *, station: int | None, by_person: Person | None, begins_at: datetime | None, by: Person, now: datetime
) -> Step:
    """A person fixes station, person or time by hand and the plan keeps it. With nothing set, the pin is removed."""
    step = _locked(step)
    pinned = HandPin(station, by_person, begins_at)
    check_can_be_fixed(step, pinned, now=now)
    if step.at == ROLLER and not pinned.is_empty:
        roller_rule.check(RollerAct.BE_PLANNED, roller_facts_of(step.visit))
    step.pin_station, step.pin_by, step.pin_begins_at = station, by_person, begins_at
    step.save(update_fields=["pin_station", "pin_by", "pin_begins_at"])
    parts = [f"{step.at} {station}" if station else "", by_person.name if by_person else ""]
    words = ", ".join(p for p in parts if p) or ("a time" if begins_at else "nothing")
    trail.about_visit(step.visit, f"{step.what} fixed by hand to {words}", by=by, now=now)
    return step


def _place(step: Step) -> str:
    return f"bench {step.station}" if step.at == BENCH else f"roller {step.station}"
