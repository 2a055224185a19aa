"""Every row that there is about an owner, whatever room it belongs to: by following what refers to owner, machine and
visit. A new table is among them as soon as it exists.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterator
from functools import cache
from typing import Any

from django.db.models import Field, ForeignObjectRel, Model, Q, QuerySet

from garage.models.owners import Machine, Owner
from garage.models.trail import TrailRow
from garage.models.visits import Visit


def with_doubles(owner: Owner) -> list[Owner]:
    """The record that counts, then those that were joined into it."""
    while owner.joined_into is not None:
        owner = owner.joined_into
    group, last = [owner], [owner]
    while last := list(Owner.objects.filter(joined_into__in=last).order_by("pk")):
        group += last
    return group


def rows_about(owners: Collection[Owner]) -> Iterator[QuerySet[Any]]:
    """The rows of each model that has any."""
    ids = [owner.pk for owner in owners]
    for model, ways in lookups().items():
        theirs = Q(*((way, ids) for way in ways), _connector=Q.OR)
        rows = model._default_manager.filter(about_in_trail(owners) if model is TrailRow else theirs)
        if rows.exists():
            yield rows.order_by("pk")


def about_in_trail(owners: Collection[Owner]) -> Q:
    """The trail names owners and machines in words, visits also by their row."""
    machines = Machine.objects.filter(owner__in=owners).values_list("pk", flat=True)
    about = [f"owner {owner.pk}" for owner in owners] + [f"machine {pk}" for pk in machines]
    return Q(visit__owner__in=owners) | Q(about__in=about)


@cache
def lookups() -> dict[type[Model], tuple[str, ...]]:
    """The shortest way from each model to its owner, as filter() knows it, and those that the model names besides
    (`also_of_owner`). A model that names a visit itself is that visit's: an offer belongs to whom it was made, not to
    who gave the time back.
    """
    found: dict[type[Model], tuple[str, ...]] = {Owner: ("pk__in",), Visit: ("owner__in",), Machine: ("owner__in",)}
    ahead: deque[type[Model]] = deque([Visit, Machine, Owner])
    while ahead:
        model = ahead.popleft()
        for key in _keys_to(model):
            if key.model not in found:
                ways = (f"{key.name}__{way.removeprefix('pk__')}" for way in found[model])
                found[key.model] = (*ways, *getattr(key.model, "also_of_owner", ()))
                ahead.append(key.model)
    return found


def _keys_to(model: type[Model]) -> list[Field[Any, Any]]:
    """Also those without a name on this side; the key called as the model is comes first."""
    others = (field for field in model._meta.get_fields(include_hidden=True) if isinstance(field, ForeignObjectRel))
    keys = [other.field for other in others if other.one_to_many or other.one_to_one]
    return sorted(keys, key=lambda key: key.name != model._meta.model_name)
