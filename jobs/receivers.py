"""What this room does when something happened below it."""

from collections.abc import Sequence

from django.dispatch import receiver

from garage import events
from garage.changes.packers import PackersMoved
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.changes import packers as on_card


@receiver(events.packers_taken)
def write_packers_on_the_card(visit: Visit, packers: Sequence[PackersMoved], by: Person, **_: object) -> None:
    on_card.write_on_card(visit, packers=packers, by=by)


@receiver(events.packers_put_back)
def strike_packers_from_the_card(visit: Visit, packers: Sequence[PackersMoved], by: Person, **_: object) -> None:
    on_card.strike_from_card(visit, packers=packers, by=by)
