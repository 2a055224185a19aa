"""The list of visits: what is sought, or what is coming and in the building."""

from __future__ import annotations

from django.db.models import QuerySet

from garage.core import states
from garage.models.visits import Visit
from jobs.core.search_words import sought
from jobs.reads.found import visits_sought


def visits_found(words: str, calling_code: str) -> QuerySet[Visit]:
    """As the search box finds them. Without words, those coming or in the building, in time order."""
    if words.strip():
        return visits_sought(sought(words, calling_code))
    rows = Visit.objects.select_related("owner", "machine", "kind")
    return rows.exclude(state__in=states.OVER).order_by("starts_at", "number")
