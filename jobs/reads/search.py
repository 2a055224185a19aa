"""Search for visits by number, owner, machine, registration or telephone."""

from __future__ import annotations

import re

from django.db.models import Q, QuerySet

from garage.core import states
from garage.models.visits import Visit


def visits_found(words: str) -> QuerySet[Visit]:
    """Newest first. Without search words, those coming or in the building, in time order."""
    rows = Visit.objects.select_related("owner", "machine", "kind")
    words = words.strip()
    if not words:
        return rows.exclude(state__in=states.OVER).order_by("starts_at", "number")
    if re.fullmatch(r"[0-9]{1,6}", words):
        return rows.filter(Q(number=int(words)) | _text(words)).order_by("-number")
    return rows.filter(_text(words)).order_by("-number")


def _text(words: str) -> Q:
    found = Q()
    for word in words.split():
        found &= (
            Q(owner__name__icontains=word)
            | Q(owner__email__icontains=word)
            | Q(owner__telephone__icontains=word)
            | Q(machine__words__icontains=word)
            | Q(machine__registration__icontains=word)
        )
    return found
