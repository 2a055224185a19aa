"""The beat's own list of what is due when: in memory, so that no full disk and no half-written file can stop it.

Celery's own goes by the clock of the day. When that is put back an hour, nothing is due for an hour: here each task is
due again after its own interval.
"""

from __future__ import annotations

import time
from datetime import timedelta
from typing import Any

from celery.beat import Scheduler
from django.conf import settings

from garage.running.parts import signs

PUT_BACK_S = 1.0  # s; less is the clock being set right by its server
FIRST_AFTER_S = 300.0  # s from the start until what is due seldom runs first, or a garage started often never ran it


class SteadyScheduler(Scheduler):
    _last_s = 0.0

    def setup_schedule(self) -> None:
        super().setup_schedule()
        for entry in self.schedule.values():
            every = getattr(entry.schedule, "run_every", timedelta(0))
            entry.last_run_at = entry.default_now() - max(every - timedelta(seconds=FIRST_AFTER_S), timedelta(0))

    def tick(self, *given: Any, **named: Any) -> float:
        now_s = time.time()
        if now_s < self._last_s - PUT_BACK_S:
            for entry in self.schedule.values():
                entry.last_run_at = entry.default_now()
            self._heap = None  # then Celery works out anew what is due next
        self._last_s = now_s
        signs.give(settings.DATA, signs.BEAT)
        wait_s: float = super().tick(*given, **named)
        return wait_s
