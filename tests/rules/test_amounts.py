"""Every amount has its bounds in the database: SQLite keeps any number in any column, and cannot show all of them."""

from django.apps import apps
from django.db import models
from django.db.models import Q

MONEY = ("_pence", "_pounds")


def _names(condition: Q) -> set[str]:
    return {
        name
        for child in condition.children
        for name in (_names(child) if isinstance(child, Q) else {child[0]})
        if not condition.negated
    }


def _bounded(model: type[models.Model]) -> set[str]:
    """The fields with a lowest and a highest value."""
    checks = [each.condition for each in model._meta.constraints if isinstance(each, models.CheckConstraint)]
    named = {name for check in checks for name in _names(check)}
    return {name.removesuffix("__gte") for name in named if name.replace("__gte", "__lte") in named - {name}}


def _amounts(model: type[models.Model]) -> set[str]:
    return {
        field.name
        for field in model._meta.local_fields
        if isinstance(field, models.DecimalField)
        or (isinstance(field, models.IntegerField) and field.name.endswith(MONEY))
    }


def test_every_amount_of_every_table_has_a_constraint_on_how_small_and_how_large_it_is():
    ours = [model for model in apps.get_models() if model.__module__.split(".")[0] in ("garage", "diagnostics", "jobs")]
    assert sum(len(_amounts(model)) for model in ours) > 40
    assert {model.__name__: missing for model in ours if (missing := _amounts(model) - _bounded(model))} == {}
