"""The bounds of amounts, as check constraints that both databases know.

SQLite keeps any number in any column: one past what Django reads back makes every page that shows it fail for good. The
changes refuse such amounts with a sentence; this is the guard behind them.
"""

from __future__ import annotations

import operator
from collections.abc import Mapping
from decimal import Decimal
from functools import reduce

from django.db import models
from django.db.models import Q

from garage.core.money import MOST

Between = tuple[int | Decimal, int | Decimal]

POUNDS: Between = (Decimal(0), MOST)
POUNDS_OR_BACK: Between = (-MOST, MOST)
PER_CENT: Between = (0, 100)


class AmountsWithin(models.CheckConstraint):
    """In the database alone: a form's own sentence about its field comes from the change."""

    def validate(self, *_given: object, **_named: object) -> None:
        """Nothing: see above."""


def within(**bounds: Between) -> AmountsWithin:
    """A model's constraint on its amounts, by field: from the first bound to the second. An empty one is allowed."""
    return amounts_within("%(app_label)s_%(class)s_amounts", bounds)


def amounts_within(name: str, bounds: Mapping[str, Between]) -> AmountsWithin:
    """The same with a name of its own, for a migration."""
    conditions = (Q((f"{field}__gte", least), (f"{field}__lte", most)) for field, (least, most) in bounds.items())
    return AmountsWithin(condition=reduce(operator.and_, conditions), name=name)
