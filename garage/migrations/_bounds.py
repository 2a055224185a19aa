"""For migrations of any room: the constraint on a table's amounts, once the rows that stand are within it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from django.apps.registry import Apps
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations import AddConstraint
from django.db.migrations.operations.base import Operation
from django.db.models.functions import Now

from garage.models.bounds import Between, amounts_within
from garage.models.lazy_migration import RunPythonLazily


def bounded(model: str, **bounds: Between) -> list[Operation]:
    """The constraint, for a migration, once the rows that stand are within it. model: such as "garage.visit".

    An old amount outside is put to the nearer bound, since no page could show it. The trail keeps what it was.
    """
    return _bounded(model, bounds, lambda bound: str(bound))


def bounded_or_empty(model: str, **bounds: Between) -> list[Operation]:
    """The same for measures: one that cannot be is not known any more."""
    return _bounded(model, bounds, lambda _: "NULL")


def _bounded(model: str, bounds: Mapping[str, Between], becomes: Callable[[object], str]) -> list[Operation]:
    label, _, name = model.partition(".")
    constraint = amounts_within(f"{label}_{name}_amounts", bounds)
    return [_mended(model, bounds, becomes), AddConstraint(model_name=name, constraint=constraint)]


def _mended(model: str, bounds: Mapping[str, Between], becomes: Callable[[object], str]) -> RunPythonLazily:
    def mend(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
        for name, between in bounds.items():
            for bound, is_outside in zip(between, "<>", strict=True):
                _mend_one(apps, schema_editor, model, name, f"{is_outside} {bound}", becomes(bound))

    return RunPythonLazily(mend, RunPythonLazily.noop)


def _mend_one(
    apps: Apps, schema_editor: BaseDatabaseSchemaEditor, model: str, name: str, outside: str, value: str
) -> None:
    """In plain SQL, with names of our own models: Django cannot read such an amount."""
    quoted = schema_editor.connection.ops.quote_name
    table, column = quoted(model.replace(".", "_")), quoted(name)
    where = f"FROM {table} WHERE {column} {outside}"
    with schema_editor.connection.cursor() as cursor:
        cursor.execute(f"SELECT id, CAST({column} AS TEXT) {where} ORDER BY id")
        rows = cursor.fetchall()
        for row_id, was in rows:
            cursor.execute(f"UPDATE {table} SET {column} = {value} WHERE id = {row_id}")  # noqa: S608
            did = f"put {name} of {model.partition('.')[2]} {row_id} from {was} to {value}: it was out of bounds"
            apps.get_model("garage.TrailRow").objects.create(
                at=Now(), by_words="Tickover itself", about="the shop", did=did
            )
