"""The steps that a visit still needs, as rows: the day is planned with them."""

from __future__ import annotations

from django.db.models import Max, QuerySet

from garage.models.shop import BENCH, ROLLER, Shop
from garage.models.visits import Step, Visit

GATE_STEP = "gate"
FIX_FIRST_STEP = "fix first"


def plan_booked(visit: Visit, shop: Shop) -> None:
    """The steps of a newly booked visit: the gate and the rollers, or the bench."""
    if visit.kind.at == ROLLER:
        need_the_rollers(visit, visit.kind.minutes, shop)
    else:
        need_the_bench(visit, visit.kind.minutes)


def need_the_rollers(visit: Visit, minutes: int, shop: Shop) -> None:
    """Plans a roller step that has not begun, with a gate for it unless one is already passed."""
    roller = _waiting(visit).filter(at=ROLLER).first()
    if roller is None:
        roller = _insert(visit, _end(visit), at=ROLLER, minutes=minutes, what=_kind_words(visit))
    else:
        _take_minutes(roller, minutes)
    if visit.gate_passed_at is None:
        need_another_gate(visit, shop)


def need_another_gate(visit: Visit, shop: Shop) -> None:
    """Plans a gate for a roller step that has not begun: a check at the bench unless that is passed or planned already,
    and its second part as minutes on the rollers.
    """
    waiting = _waiting(visit)
    roller = waiting.filter(at=ROLLER).first()
    if roller is None:
        return
    _take_strap_minutes(roller, shop.strap_minutes)
    if visit.gate_at_bench_passed_at is None and not waiting.filter(is_check=True).exists():
        _insert(visit, roller.index, at=BENCH, minutes=shop.gate_minutes, what=GATE_STEP, is_check=True)


def need_the_bench(visit: Visit, minutes: int) -> None:
    """Plans a bench step that has not begun. A waiting one takes the new minutes."""
    waiting = _waiting(visit).filter(at=BENCH, is_check=False).first()
    if waiting is None:
        what = _kind_words(visit) if visit.kind.at == BENCH else "bench"
        _insert(visit, _end(visit), at=BENCH, minutes=minutes, what=what)
    else:
        _take_minutes(waiting, minutes)


def need_fix_first(visit: Visit, minutes: int) -> None:
    """Plans bench work before everything not begun. A waiting one takes the new minutes; one that runs goes on."""
    waiting = _waiting(visit).filter(what=FIX_FIRST_STEP).first()
    is_under_way = Step.objects.filter(visit=visit, what=FIX_FIRST_STEP, began_at__isnull=False, ended_at=None).exists()
    if waiting is None and not is_under_way:
        begun = Step.objects.filter(visit=visit, began_at__isnull=False)
        _insert(visit, _after(begun), at=BENCH, minutes=minutes, what=FIX_FIRST_STEP)
    elif waiting is not None:
        _take_minutes(waiting, minutes)


def need_the_rest(step: Step, minutes: int) -> Step:
    """Plans what is left of a step that is broken off, next after it and of its kind."""
    return _insert(step.visit, step.index + 1, at=step.at, minutes=minutes, what=step.what, is_check=step.is_check)


def drop_fix_first(visit: Visit) -> None:
    _waiting(visit).filter(what=FIX_FIRST_STEP).delete()


def drop_gate(visit: Visit) -> None:
    """It is through: a check at the bench that still waits is not done any more."""
    _waiting(visit).filter(is_check=True).delete()


def forget_pins(visit: Visit) -> None:
    """The time has changed, so what was fixed by hand for the old one no longer applies."""
    _waiting(visit).update(pin_station=None, pin_by=None, pin_begins_at=None)


def _waiting(visit: Visit) -> QuerySet[Step]:
    return Step.objects.filter(visit=visit, began_at=None).order_by("index")


def _kind_words(visit: Visit) -> str:
    return visit.kind.name.lower()[:40]


def _take_minutes(step: Step, minutes: int) -> None:
    if step.minutes != minutes or step.minutes_before is not None:
        step.minutes, step.minutes_before = minutes, None
        step.save(update_fields=["minutes", "minutes_before"])


def _take_strap_minutes(step: Step, minutes: int) -> None:
    if step.strap_minutes != minutes or step.strapped_from:
        step.strap_minutes, step.strapped_from = minutes, None
        step.save(update_fields=["strap_minutes", "strapped_from"])


def _end(visit: Visit) -> int:
    return _after(Step.objects.filter(visit=visit))


def _after(steps: QuerySet[Step]) -> int:
    last = steps.aggregate(last=Max("index"))["last"]
    return 0 if last is None else last + 1


def _insert(visit: Visit, index: int, *, at: str, minutes: int, what: str, is_check: bool = False) -> Step:
    """Adds a step at this place and moves the later ones down by one."""
    for step in Step.objects.filter(visit=visit, index__gte=index).order_by("-index"):
        step.index += 1
        step.save(update_fields=["index"])
    return Step.objects.create(visit=visit, index=index, at=at, minutes=minutes, what=what, is_check=is_check)
