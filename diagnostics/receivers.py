"""What this room does when something happened below it."""

from django.dispatch import receiver

from diagnostics.changes import judgements
from garage import events
from garage.models.owners import Machine, MachineKind


@receiver(events.machine_measured)
def judge_its_visits_again(machine: Machine, **_: object) -> None:
    judgements.judge_visits_of_machine(machine)


@receiver(events.machine_kind_measured)
def judge_visits_of_the_kind_again(kind: MachineKind, **_: object) -> None:
    judgements.judge_visits_of_kind(kind)
