"""An owner's wish to be forgotten, or the end of the time that anything is kept: all that names them goes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterator
from datetime import datetime
from typing import Any

from django.db import models
from django.db.models import Q, QuerySet

from garage.changes import trail
from garage.changes.forgetting import may_forget
from garage.changes.mail import forgetting
from garage.changes.shop import exports
from garage.changes.visit.forgetting import forget
from garage.core.errors import Refused
from garage.core.keeping.counts import counted
from garage.core.keeping.taken_out import naming, parts_of, taken_out
from garage.core.text.languages import ENGLISH
from garage.models.actors import Actor
from garage.models.list_files import ListFile
from garage.models.messages import Message
from garage.models.owners import Machine, Owner
from garage.models.sessions import BrowserSession
from garage.models.trail import TrailRow
from garage.models.visits import Visit, first_link_generation
from garage.reads.about_owner import rows_about, with_doubles
from garage.reads.owners import open_numbers

NOBODY = "Erased"  # stands where the name was
CHANGEABLE = (models.CharField, models.TextField, models.JSONField)


def erase(owner: Owner, *, by: Actor, now: datetime) -> Counter[str]:
    """With every record joined to it. What went, by kind. Papers of the book stay as they are until their own time is
    over. Refused while a visit is open, or a card.
    """
    with may_forget(f"owner {owner.pk}", by=by, now=now):
        owners = _locked(owner)
        if numbers := open_numbers(owners):
            raise Refused(f"Still open: {numbers}. Erase once the machine is back and the visit is over.")
        named, full = _named(owners), _fully_named(owners)
        gone = Counter({"records": len(owners)})
        for visit in Visit.objects.filter(owner__in=owners).order_by("pk"):
            gone += forget(visit, now=now)
            Visit.objects.filter(pk=visit.pk).update(link_generation=first_link_generation())
        gone += forgetting.forget(_mails(owners))
        for rows in rows_about(owners):
            if not getattr(rows.model, "stays_in_the_book", False):
                _take_out(rows, named)
            if emptied := getattr(rows.model, "emptied_by_erasing", None):
                rows.update(**emptied)
        _take_out(_trail_naming(owners), full)
        _forget_what_waits(full)
        exports.forget_with_an_owner(by=by, now=now)
        Machine.objects.filter(owner__in=owners).update(registration="")
        nobody = {"name": NOBODY, "email": "", "telephone": "", "address": "", "language": ENGLISH}
        Owner.objects.filter(pk__in=[one.pk for one in owners]).update(**nobody, erased_at=now)
        trail.wrote(did=f"erased: {counted(gone)}", about=f"owner {owners[0].pk}", by=by, now=now)
    return gone


def _locked(owner: Owner) -> list[Owner]:
    owners = with_doubles(owner)
    rows = list(Owner.objects.select_for_update().filter(pk__in=[one.pk for one in owners]).order_by("pk"))
    if all(row.erased_at for row in rows):
        raise Refused("This owner has been erased already.")
    return owners


def _named(owners: Collection[Owner]) -> re.Pattern[str]:
    """For texts about these owners alone: parts of the name too, as people write of each other."""
    words = [word for owner in owners for word in (*_words(owner), *parts_of(owner.name))]
    return naming(words=words, numbers=[owner.telephone for owner in owners], plates=_plates(owners))


def _fully_named(owners: Collection[Owner]) -> re.Pattern[str]:
    """For texts about anybody."""
    words = [word for owner in owners for word in _words(owner)]
    return naming(words=words, numbers=[owner.telephone for owner in owners], plates=_plates(owners))


def _words(owner: Owner) -> list[str]:
    return [owner.name, owner.email, *(line.strip(" ,") for line in owner.address.splitlines())]


def _plates(owners: Collection[Owner]) -> list[str]:
    return list(
        Machine.objects.filter(owner__in=owners).exclude(registration="").values_list("registration", flat=True)
    )


def _mails(owners: Collection[Owner]) -> QuerySet[Message]:
    """Of their visits, and to their addresses without a visit."""
    theirs = Q(visit__owner__in=owners)
    for owner in owners:
        theirs |= Q(visit=None, to__iexact=owner.email) if owner.email else Q()
    return Message.objects.filter(theirs)


def _trail_naming(owners: Collection[Owner]) -> QuerySet[TrailRow]:
    """Lines about something else that name them: two records joined, a message sent again."""
    said = Q()
    for owner in owners:
        for word in (owner.name, owner.email, owner.telephone):
            said |= Q(did__icontains=word) | Q(detail__icontains=word) if word else Q()
    return TrailRow.objects.filter(said) if said else TrailRow.objects.none()


def _take_out(rows: QuerySet[Any], named: re.Pattern[str]) -> None:
    """Nothing is written where nothing names them."""
    names = [field.name for field in _texts(rows.model)]
    for pk, *values in rows.values_list("pk", *names):
        changed = {name: taken_out(value, named) for name, value in zip(names, values, strict=True)}
        changed = {name: new for (name, new), old in zip(changed.items(), values, strict=True) if new != old}
        if changed:
            rows.model._default_manager.filter(pk=pk).update(**changed)


def _texts(model: type[models.Model]) -> Iterator[models.Field[Any, Any]]:
    """Those that people write in: not what is picked from a list, nor names of files."""
    never = getattr(model, "never_taken_out", ())
    for field in model._meta.concrete_fields:
        if field.name in never:
            continue
        if isinstance(field, CHANGEABLE) and not field.choices and not isinstance(field, models.FileField):
            yield field


def _forget_what_waits(named: re.Pattern[str]) -> None:
    """What a browser has typed and not booked yet, and lists that were looked at and not taken in."""
    for session in BrowserSession.objects.filter(person=None).iterator():
        if named.search(str(session.get_decoded())):
            session.delete()
    for row in ListFile.objects.filter(what=ListFile.OWNERS):
        if named.search(bytes(row.content).decode("utf-8", "replace")):
            row.delete()
