"""How much may be sent by the personal links of one visit."""

from __future__ import annotations

from datetime import datetime, timedelta

from garage.changes.people import attempts
from garage.models.visits import Visit

# A whole check sheet, a clip and a change of mind are some fifty presses; common practice, no source.
MOST_SENT, SENT_WITHIN = 300, timedelta(hours=1)
SENT_BY_LINK = "sent-by-link"


def may_send(visit: Visit, *, now: datetime) -> bool:
    """Whether one more form is taken from whoever holds a link of this visit. It counts. Outside a transaction."""
    caps = ((attempts.hashed(SENT_BY_LINK, str(visit.pk)), MOST_SENT),)
    return attempts.claimed(SENT_BY_LINK, caps=caps, within=SENT_WITHIN, now=now) is not None
