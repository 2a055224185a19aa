"""The workshop's readings of a visit."""

from diagnostics.core.judging.evidence import IDLE, PEAK
from diagnostics.core.readings import COMPRESSION, LEAK_DOWN
from diagnostics.models.readings import Reading
from garage.models.visits import Visit


def read_before(visit: Visit) -> tuple[tuple[tuple[float, float], ...], tuple[float, str] | None]:
    """For the gate: the strobe as pairs (rpm, degrees BTDC), none unless both were read; the newer of gauge and
    leak-down as (value, unit).
    """
    found = latest_readings(visit)
    strobe = [(float(row.rpm), row.value) for what in (IDLE, PEAK) if (row := found.get(what)) and row.rpm]
    gauges = sorted((row for what in (COMPRESSION, LEAK_DOWN) if (row := found.get(what))), key=lambda row: row.at)
    gauge = (gauges[-1].value, gauges[-1].unit) if gauges else None
    return tuple(strobe) if len(strobe) == 2 else (), gauge


def latest_readings(visit: Visit) -> dict[str, Reading]:
    """The newest of each kind that was not withdrawn."""
    return {row.what: row for row in Reading.objects.filter(visit=visit, withdrawn_at=None).select_related("by")}
