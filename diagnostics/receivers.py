"""How this room responds to events in the garage and in its own hearing."""

from datetime import datetime

from django.dispatch import receiver

from diagnostics.changes import judgements
from diagnostics.hearing.events import clip_verdict_changed
from garage import events
from garage.models.actors import SYSTEM, Actor
from garage.models.owners import Machine, MachineKind
from garage.models.visits import Visit


@receiver(events.machine_measured)
def judge_its_visits_again(machine: Machine, *, now: datetime, **_: object) -> None:
    judgements.judge_visits_of_machine(machine, now=now)


@receiver(events.machine_kind_measured)
def judge_visits_of_the_kind_again(kind: MachineKind, *, now: datetime, **_: object) -> None:
    judgements.judge_visits_of_kind(kind, now=now)


@receiver(clip_verdict_changed)
def judge_by_the_clips(visit: Visit, by: Actor, *, now: datetime, **_: object) -> None:
    """A person who enters what they hear decides on the judgement too; the system's verdict acts as the sheet does."""
    if by is SYSTEM:
        judgements.judge_what_was_heard(visit, now=now)
    else:
        judgements.judge_again(visit, now=now)
