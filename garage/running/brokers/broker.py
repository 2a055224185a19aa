"""Whether the broker answers: for a page of the boss, who cannot ask a worker about it."""

from __future__ import annotations

from celery import current_app
from kombu.exceptions import OperationalError

ASK_LIMIT_S = 2  # s; on one's own network it answers within a thousandth


def why_away() -> str:
    """Empty if it answers. Without address and password, which are for nobody's eyes."""
    try:
        with current_app.connection_for_write(connect_timeout=ASK_LIMIT_S) as connection:
            connection.ensure_connection(max_retries=1, timeout=ASK_LIMIT_S)
    except (OperationalError, OSError) as error:
        return type(error.__cause__ or error).__name__
    return ""
