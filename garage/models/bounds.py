"""The bounds of amounts, as check constraints that both databases know, and old rows brought inside them.

SQLite keeps any number in any column: one past what Django reads back makes every page that shows it fail for good. The
changes refuse such amounts with a sentence; this is the guard behind them.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import reduce

from django.apps.registry import Apps
from django.db import models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations import AddConstraint, RunPython
from django.db.migrations.operations.base import Operation
from django.db.models import Q
from django.db.models.functions import Now

from garage.core.money import MOST

Bound = int | Decimal
Between = tuple[Bound, Bound]

POUNDS: Between = (Decimal(0), MOST)
POUNDS_OR_BACK: Between = (-MOST, MOST)
PER_CENT: Between = (0, 100)


class AmountsWithin(models.CheckConstraint):
    """In the database alone: a form's own sentence about its field comes from the change."""

    def validate(self, *_given: object, **_named: object) -> None:
        """Nothing: see above."""


def within(**bounds: Between) -> AmountsWithin:
    """A model's constraint on its amounts, by field: from the first bound to the second. An empty one is allowed."""
    return _named("%(app_label)s_%(class)s_amounts", bounds)


def _named(name: str, bounds: Mapping[str, Between]) -> AmountsWithin:
    conditions = (Q((f"{field}__gte", least), (f"{field}__lte", most)) for field, (least, most) in bounds.items())
    return AmountsWithin(condition=reduce(operator.and_, conditions), name=name)


def bounded(model: str, **bounds: Between) -> list[Operation]:
    """The constraint, for a migration, once the rows that stand are within it. model: such as "garage.visit".

    An old amount outside is put to the nearer bound, since no page could show it. The trail keeps what it was.
    """
    return _bounded(model, bounds, lambda bound: str(bound))


def bounded_or_empty(model: str, **bounds: Between) -> list[Operation]:
    """The same for measures: one that cannot be is not known any more."""
    return _bounded(model, bounds, lambda _: "NULL")


def _bounded(model: str, bounds: Mapping[str, Between], becomes: Callable[[Bound], str]) -> list[Operation]:
    label, _, name = model.partition(".")
    constraint = _named(f"{label}_{name}_amounts", bounds)
    return [_mended(model, bounds, becomes), AddConstraint(model_name=name, constraint=constraint)]


def _mended(model: str, bounds: Mapping[str, Between], becomes: Callable[[Bound], str]) -> RunPython:
    def mend(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
        for name, between in bounds.items():
            for bound, is_outside in zip(between, "<>", strict=True):
                _mend_one(apps, schema_editor, model, name, f"{is_outside} {bound}", becomes(bound))

    return RunPython(mend, RunPython.noop)


def _mend_one(
    apps: Apps, schema_editor: BaseDatabaseSchemaEditor, model: str, name: str, outside: str, value: str
) -> None:
    """In plain SQL, with names of our own models: Django cannot read such an amount."""
    options = apps.get_model(model)._meta
    quoted = schema_editor.connection.ops.quote_name
    table, column = quoted(options.db_table), quoted(options.get_field(name).column)
    where = f"FROM {table} WHERE {column} {outside}"
    with schema_editor.connection.cursor() as cursor:
        cursor.execute(f"SELECT id, CAST({column} AS TEXT) {where} ORDER BY id")
        rows = cursor.fetchall()
        for row_id, was in rows:
            cursor.execute(f"UPDATE {table} SET {column} = {value} WHERE id = {row_id}")  # noqa: S608
            did = f"put {name} of {options.model_name} {row_id} from {was} to {value}: it was out of bounds"
            apps.get_model("garage.TrailRow").objects.create(
                at=Now(), by_words="Tickover itself", about="the shop", did=did
            )
