"""What is past its time."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from django.db.models.functions import Coalesce

from garage.core import states
from garage.models.visits import Visit

ENDED = Coalesce("collected_at", "called_off_at", "starts_at", "booked_at")  # of one that did not come: its time


def over_since(at: datetime) -> Iterator[Visit]:
    """Visits over for longer, oldest first, of which what was sent in is still there."""
    rows = Visit.objects.filter(state__in=states.OVER, forgotten_at=None).annotate(ended_at=ENDED)
    return rows.filter(ended_at__lt=at).order_by("ended_at", "pk").iterator(chunk_size=500)
