"""The demo is told in the past tense: each thing in it happens at the time that is told, through the real changes.

This is the only place where Tickover's clock is set, and only the demo and its tests set it. The rows that come of it
are made up like the garage itself; nothing that was once written is altered.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from django.utils import timezone


@contextmanager
def at(instant: datetime) -> Iterator[None]:
    """Inside, it is that instant (aware, UTC): every change asks django.utils.timezone.now."""
    real = timezone.now
    timezone.now = lambda: instant
    try:
        yield
    finally:
        timezone.now = real
