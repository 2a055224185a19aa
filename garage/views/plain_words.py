"""Fields whose words go out in mails: they lead nowhere (core/text/leads_nowhere.py)."""

from __future__ import annotations

from django.core.exceptions import ValidationError

from garage.core.text.languages import told
from garage.core.text.leads_nowhere import SAY_IT_PLAINLY, leads_somewhere


def leads_nowhere(text: str) -> None:
    """A validator."""
    if leads_somewhere(text):
        raise ValidationError(told(SAY_IT_PLAINLY))
