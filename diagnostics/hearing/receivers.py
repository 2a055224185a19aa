"""What this flat does on events from the rooms below."""

from django.dispatch import receiver

from diagnostics.hearing.changes import clips
from garage import events
from garage.models.visits import Visit


@receiver(events.visit_forgotten)
def forget_clips_with_their_visit(visit: Visit, **_: object) -> dict[str, int]:
    return clips.forget(visit)
