"""The rest of a day: a full one is drawn from some time before now on, so that its letters stay large."""

from __future__ import annotations

from dataclasses import replace

from garage.core.drawing.sheet import DaySheet

LOOK_BACK_MIN = 60  # min before now that are still drawn, to the whole hour. By eye, no source


def rest_of_day(sheet: DaySheet, now: int) -> DaySheet:
    """Without what was over by the whole hour that lies at least LOOK_BACK_MIN before now.

    >>> rest_of_day(DaySheet("A day", ("In the yard", "Collected"), (), opens=480), now=705).opens
    600
    """
    since = max(sheet.opens, (now - LOOK_BACK_MIN) // 60 * 60)
    threads = (
        replace(thread, stops=tuple(replace(s, begin=max(s.begin, since)) for s in thread.stops if s.end > since))
        for thread in sheet.threads
    )
    return replace(
        sheet,
        threads=tuple(thread for thread in threads if thread.stops),
        promises=tuple(promise for promise in sheet.promises if promise.at >= since),
        rests=tuple(replace(rest, begin=max(rest.begin, since)) for rest in sheet.rests if rest.end > since),
        opens=since,
    )
