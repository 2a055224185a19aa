"""Old rows are deleted a few at a time, each few in a transaction of their own.

After a flood there are a million of them, and while SQLite deletes nobody else can write.
"""

from typing import Any

from django.db.models import QuerySet

BATCH = 500  # rows; some milliseconds


def delete_in_batches(rows: QuerySet[Any]) -> int:
    """Looks again at each when it is deleted: a session may have been used since. How many rows of the model went."""
    many = 0
    while found := list(rows.values_list("pk", flat=True)[:BATCH]):
        many += rows.filter(pk__in=found).delete()[1].get(rows.model._meta.label, 0)
    return many
