"""Makes a database as the release before had it, puts clips into it, brings it up to date and prints what it holds.

Run on its own, so that no other test's database is moved back and forth.
"""

import json
import sys

import django

django.setup()

from django.db import connection  # noqa: E402  once Django is set up
from django.db.migrations.executor import MigrationExecutor  # noqa: E402
from django.utils import timezone  # noqa: E402

from diagnostics.hearing.models.clips import Clip  # noqa: E402
from tests.factories import garage  # noqa: E402

BEFORE = {"diagnostics": "0008_come_backs_are_kept", "hearing": None, "jobs": "0002_frozen"}
OLD = {
    "clip": "rev-out.m4a",
    "seconds": 8.0,
    "trace": {"t0_s": 0.005, "step_s": 0.02, "rpm": [1500.0, None]},
    "idle_rpm": 1500.0,
    "peak_rpm": 6050.0,
    "held": [1.5, 6.0],
    "verdict": "breaks-down",
    "ceiling_rpm": 6100.0,
    "drop_outs": [[2.0, 2.1]],
    "confidence": 0.95,
    "reason": "The engine meets a ceiling: firing fails 1 time while it is held open.",
    "fires_per_turn": 1.0,
    "outline": [0.5, 1.0],
}
LATE = "The clip begins with the engine already revved up, so the opening is not heard."
RESULTS = (OLD, OLD | {"verdict": "unclear", "ceiling_rpm": None, "drop_outs": [], "held": None, "reason": LATE}, None)


def targets():
    """Every room's newest step, and of these two the last that the release before had."""
    leaves = [node for node in MigrationExecutor(connection).loader.graph.leaf_nodes() if node[0] not in BEFORE]
    return [*leaves, *((app, name) for app, name in BEFORE.items() if name)]


def main():
    executor = MigrationExecutor(connection)
    executor.migrate(targets())
    clips = executor.loader.project_state(targets()).apps.get_model("diagnostics", "Clip")
    garage.shop()
    visit = garage.visit()
    for number, result in enumerate(RESULTS):
        clips.objects.create(
            visit_id=visit.pk,
            at=timezone.now(),
            name="rev-out.m4a",
            size_bytes=5,
            digest=str(number),
            state="heard" if result else "waits",
            result=result,
        )
    executor = MigrationExecutor(connection)
    executor.migrate(executor.loader.graph.leaf_nodes())
    kept = [[clip.visit_id == visit.pk, clip.name, clip.state, clip.result] for clip in Clip.objects.order_by("digest")]
    sys.stdout.write(json.dumps(kept))


if __name__ == "__main__":
    main()
