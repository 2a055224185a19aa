"""The steps that a visit still needs, as rows: what the day is planned with."""

from __future__ import annotations

from django.db.models import Max, QuerySet

from garage.models.shop import BENCH, ROLLER
from garage.models.visits import Step, Visit
from garage.reads.shop import the_shop

GATE_STEP = "gate"


def plan_booked(visit: Visit) -> None:
    """The steps of a visit that has just been booked: the gate and the rollers, or the bench."""
    if visit.kind.at == ROLLER:
        need_the_rollers(visit, visit.kind.minutes)
    else:
        need_the_bench(visit, visit.kind.minutes)


def need_the_rollers(visit: Visit, minutes: int) -> None:
    """A roller step that has not begun, with a gate before it unless one is passed already."""
    roller = _open(visit).filter(at=ROLLER).first()
    if roller is None:
        roller = _add(visit, at=ROLLER, minutes=minutes, what=visit.kind.name.lower()[:40])
    elif roller.minutes != minutes:
        roller.minutes = minutes
        roller.save(update_fields=["minutes"])
    if visit.gate_passed_at is None and not _open(visit).filter(is_check=True).exists():
        _make_room(visit, roller.index)
        gate = the_shop().gate_minutes
        Step.objects.create(visit=visit, index=roller.index, at=BENCH, minutes=gate, what=GATE_STEP, is_check=True)


def need_the_bench(visit: Visit, minutes: int) -> None:
    """A bench step that has not begun; one that waits already takes the new minutes."""
    waiting = _open(visit).filter(at=BENCH, is_check=False).first()
    if waiting is None:
        _add(visit, at=BENCH, minutes=minutes, what=visit.kind.name.lower()[:40] if visit.kind.at == BENCH else "bench")
    elif waiting.minutes != minutes:
        waiting.minutes = minutes
        waiting.save(update_fields=["minutes"])


def forget_pins(visit: Visit) -> None:
    """The time is another one: what was fixed by hand for the old one holds no more."""
    _open(visit).update(pin_station=None, pin_by=None, pin_begins_at=None)


def _open(visit: Visit) -> QuerySet[Step]:
    return Step.objects.filter(visit=visit, began_at=None).order_by("index")


def _add(visit: Visit, *, at: str, minutes: int, what: str) -> Step:
    last = Step.objects.filter(visit=visit).aggregate(last=Max("index"))["last"]
    return Step.objects.create(visit=visit, index=0 if last is None else last + 1, at=at, minutes=minutes, what=what)


def _make_room(visit: Visit, index: int) -> None:
    for step in Step.objects.filter(visit=visit, index__gte=index).order_by("-index"):
        step.index += 1
        step.save(update_fields=["index"])
