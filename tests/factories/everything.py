"""A row of every table that says anything about an owner, with that owner's name in every text: also of tables that
nobody had thought of when this was written.
"""

from __future__ import annotations

import gzip
import itertools
from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.core.files.base import ContentFile
from django.db import models
from django.db.models import Model
from django.utils import timezone

from garage.models.owners import Machine, Owner
from garage.models.people import Person
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from garage.reads.about_owner import lookups

_number = itertools.count(1)


def fill(visit: Visit, said: str, *, by: Person) -> dict[type[Model], Model]:
    """said: stands in each text. A row of each model."""
    made: dict[type[Model], Model] = {Owner: visit.owner, Machine: visit.machine, Visit: visit}
    for model in lookups():
        _row(model, made, said, by)
    return made


def _row(model: type[Model], made: dict[type[Model], Model], said: str, by: Person) -> Model:
    if model not in made:
        values = {}
        for field in model._meta.concrete_fields:
            words = f"the owner {next(_number)}" if field.name in getattr(model, "never_taken_out", ()) else said
            value = None if field.primary_key else _value(field, made, words, by)
            if value is not None:
                values[field.name] = value
        made[model] = model._default_manager.create(**values)
    return made[model]


def _value(field: Any, made: dict[type[Model], Model], said: str, by: Person) -> Any:
    kind = field.related_model
    if kind is None:
        return _plain(field, said)
    if kind is Person:
        return None if field.null else by
    return made.get(kind) if field.null else _row(kind, made, said, by)


def _plain(field: Any, said: str) -> Any:
    if field.choices:
        return "" if field.blank else field.choices[0][0]
    if isinstance(field, models.FileField):
        return ContentFile(f"file of {said}".encode(), name="file.jpg")
    if isinstance(field, models.BinaryField):
        content = f"file of {said}".encode()
        is_packed = field.name in getattr(field.model, "packed_by_gzip", ())
        return gzip.compress(content) if is_packed else content
    if isinstance(field, models.JSONField):
        return None if field.null else [said]
    if field.name == "unit":
        return "hour"
    if isinstance(field, models.EmailField):
        return said if "@" in said else "a@example.org"
    if isinstance(field, models.TextField):
        return said
    if isinstance(field, models.CharField):
        return said[: field.max_length]
    return _number_or_time(field)


def _number_or_time(field: Any) -> Any:
    if field.null or field.has_default():
        return None
    now = timezone.now()
    if isinstance(field, models.DateTimeField):
        return now
    if isinstance(field, models.DateField):
        return (now - timedelta(days=1)).date()
    if isinstance(field, models.BooleanField):
        return False
    if isinstance(field, models.UUIDField):
        return uuid4()
    return next(_number) if field.unique else 1


def mentions(said: str) -> TrailRow:
    """A line of the trail about something else that names somebody."""
    row = TrailRow(at=timezone.now(), by_words="the owner", about="the shop", did=said[:200], detail={"who": [said]})
    row.save()
    return row
