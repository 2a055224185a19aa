"""What this room does on events from the rooms below."""

from collections.abc import Sequence
from datetime import datetime

from django.dispatch import receiver

from garage import events
from garage.changes.shop.packer_stock import PackersMoved
from garage.models.people import Person
from garage.models.visits import Step, Visit
from jobs.changes import labour, packers_on_card


@receiver(events.step_begun)
def start_the_clock_with_the_work(step: Step, by: Person, *, now: datetime, **_: object) -> None:
    labour.start_with_a_step(step.visit, by=by, now=now)


@receiver(events.step_ended)
def stop_the_clock_with_the_work(step: Step, by: Person, *, now: datetime, **_: object) -> None:
    if step.by is not None:
        labour.stop_with_a_step(step.visit, whose=step.by, by=by, now=now)


@receiver(events.packers_taken)
def write_packers_on_the_card(
    visit: Visit, packers: Sequence[PackersMoved], by: Person, *, now: datetime, **_: object
) -> None:
    packers_on_card.write(visit, packers=packers, by=by, now=now)


@receiver(events.packers_put_back)
def strike_packers_from_the_card(
    visit: Visit, packers: Sequence[PackersMoved], by: Person, *, now: datetime, **_: object
) -> None:
    packers_on_card.strike(visit, packers=packers, by=by, now=now)
