"""Recognises which constraint the database has refused. PostgreSQL reports its name, SQLite only table and columns."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import IntegrityError, models


def broke(error: IntegrityError, model: type[models.Model], name: str) -> bool:
    """Whether the error is about the model's unique constraint of that name."""
    unique = (one for one in model._meta.constraints if isinstance(one, models.UniqueConstraint))
    constraint = next(one for one in unique if one.name == name)
    return _reported_name(error) == name or str(error) == _sqlite_says(model, constraint.fields)


def broke_unique(error: IntegrityError, model: type[models.Model], field: str) -> bool:
    """As broke, for a field that is unique. PostgreSQL names its constraint after table and column."""
    column = _column(model, field)
    reported = _reported_name(error) or ""
    return reported.startswith(f"{model._meta.db_table}_{column}_") or str(error) == _sqlite_says(model, [field])


def _reported_name(error: IntegrityError) -> str | None:
    return getattr(getattr(error.__cause__, "diag", None), "constraint_name", None)


def _sqlite_says(model: type[models.Model], fields: Sequence[str]) -> str:
    columns = ", ".join(f"{model._meta.db_table}.{_column(model, field)}" for field in fields)
    return f"UNIQUE constraint failed: {columns}"


def _column(model: type[models.Model], field: str) -> str:
    return next(one.column for one in model._meta.concrete_fields if one.column and one.name == field)
