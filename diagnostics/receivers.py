"""How this room responds to events in the garage and in its own hearing."""

from datetime import datetime

from django.dispatch import receiver

from diagnostics.changes import forgetting, judgements, telephone
from diagnostics.hearing.events import clip_verdict_changed
from garage import events
from garage.core.selling.draft import ToldOfSafety
from garage.models.actors import SYSTEM, Actor
from garage.models.owners import Machine, MachineKind
from garage.models.people import Person
from garage.models.visits import Visit


@receiver(events.visit_booked)
def write_down_what_was_told(visit: Visit, told: ToldOfSafety, by: Actor, *, now: datetime, **_: object) -> None:
    if isinstance(by, Person) and told != ToldOfSafety():
        telephone.told_while_booking(visit, told=told, by=by, now=now)


@receiver(events.machine_measured)
def judge_its_visits_again(machine: Machine, *, now: datetime, **_: object) -> None:
    judgements.judge_visits_of_machine(machine, now=now)


@receiver(events.machine_kind_measured)
def judge_visits_of_the_kind_again(kind: MachineKind, *, now: datetime, **_: object) -> None:
    judgements.judge_visits_of_kind(kind, now=now)


@receiver(events.visit_forgotten)
def forget_the_sheet_with_its_visit(visit: Visit, **_: object) -> dict[str, int]:
    return forgetting.forget_sheet(visit)


@receiver(clip_verdict_changed)
def judge_by_the_clips(visit: Visit, by: Actor, *, now: datetime, **_: object) -> None:
    """A person who enters what they hear decides on the judgement too; the system's verdict acts as the sheet does."""
    if by is SYSTEM:
        judgements.judge_what_was_heard(visit, now=now)
    else:
        judgements.judge_again(visit, now=now)
