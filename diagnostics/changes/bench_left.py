"""What the bench has found changes how long it still needs: garage is told the minutes, never why."""

from __future__ import annotations

from diagnostics.core.bench.booked import booked_min
from diagnostics.models.bench import BenchOutcome
from diagnostics.models.causes import Cause
from diagnostics.reads.bench_cost import bench_time_of
from diagnostics.reads.bench_left import found_of, is_known, left_after
from diagnostics.reads.judgement import latest
from diagnostics.reads.weighed import weighed, weighed_today
from garage.changes.day import bench_time
from garage.models.visits import Visit
from garage.reads.bench_time import open_bench_step


def tell(visit: Visit) -> None:
    """From the findings that stand now, with the time of the last one: what is planned for the judgement while nothing
    is found, then what is expected to be left. Call it inside a change that has locked the visit. Nothing without a
    judgement, or once its bench work is over.
    """
    kept = latest(visit) if open_bench_step(visit) else None
    if kept is None:
        return
    outcomes = list(BenchOutcome.objects.filter(visit=visit, withdrawn_at=None))
    causes = [row for row in Cause.objects.filter(visit=visit, withdrawn_at=None) if is_known(row)]
    found_at = [row.at for row in outcomes] + [row.at for row in causes]
    if not found_at:
        bench_time.as_planned(visit, minutes=bench_time_of(kept.judgement).planned)
        return
    left = left_after(weighed(kept) or weighed_today(visit), found_of(outcomes, causes))
    bench_time.is_left(visit, minutes=booked_min(left.expected_minutes), since=max(found_at))
