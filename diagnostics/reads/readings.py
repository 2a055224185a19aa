"""The workshop's readings of a visit."""

from diagnostics.core.judging.evidence import IDLE, PEAK
from diagnostics.core.readings import COMPRESSION
from diagnostics.models.readings import Reading
from garage.models.visits import Visit


def read_before(visit: Visit) -> tuple[tuple[tuple[float, float], ...], tuple[float, str] | None]:
    """For the gate: the strobe as pairs (rpm, degrees BTDC), none unless both were read; the gauge as (value, unit)."""
    found = latest_readings(visit)
    strobe = [(float(row.rpm), row.value) for what in (IDLE, PEAK) if (row := found.get(what)) and row.rpm]
    gauge = found.get(COMPRESSION)
    return tuple(strobe) if len(strobe) == 2 else (), (gauge.value, gauge.unit) if gauge else None


def latest_readings(visit: Visit) -> dict[str, Reading]:
    """The newest of each kind that was not withdrawn."""
    return {row.what: row for row in Reading.objects.filter(visit=visit, withdrawn_at=None).select_related("by")}
