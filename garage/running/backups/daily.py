"""The backup of each day, made by the beat. Why it failed is kept for a page of the boss."""

from __future__ import annotations

import logging
from datetime import datetime

from django.conf import settings

from garage.core.backups.kept import WhyMade, is_due, may_be_tried
from garage.core.errors import Refused
from garage.reads.setting_up import is_empty
from garage.reads.shop import local_time
from garage.running.backups.folder import failure, last_good, note_failure
from garage.running.backups.making import back_up

log = logging.getLogger(__name__)


def back_up_if_due(*, now: datetime) -> None:
    """Not of an empty garage: after some days its backups would have taken the place of those of a full one."""
    last, failed = last_good(), failure()
    if not settings.BACKUPS_KEPT or not may_be_tried(failed.at if failed else None, now=now):
        return
    if not is_due(last.name.at if last else None, now=now, local=local_time()) or is_empty():
        return
    try:
        back_up(WhyMade.DAILY, now=now)
    except Refused as error:
        log.warning("No backup was made: %s", error.sentence)
        note_failure(error.sentence, now=now)
