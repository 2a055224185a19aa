"""The workshop's readings of a visit."""

from diagnostics.models.readings import Reading
from garage.models.visits import Visit


def latest_readings(visit: Visit) -> dict[str, Reading]:
    """The newest of each kind that was not withdrawn."""
    return {row.what: row for row in Reading.objects.filter(visit=visit, withdrawn_at=None).select_related("by")}
