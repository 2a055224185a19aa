"""One search over owners, machines, visits with their cards, and invoices: four queries, whatever the garage's size."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Case, Q, QuerySet, Value, When
from django.db.models.functions import Replace

from garage.models.owners import Machine, Owner
from garage.models.visits import Visit
from jobs.core.search_words import Sought
from jobs.models.book import Invoice

SHOWN = 20  # of each kind; whoever sees so many types more
LEFT_OUT = (" ", "-", "(", ")", "+", "/", ".")  # people write telephone numbers and registrations with these


@dataclass(frozen=True)
class SearchFound:
    """At most SHOWN of each; more: the kinds of which there are more."""

    owners: list[Owner]
    machines: list[Machine]
    visits: list[Visit]
    invoices: list[Invoice]
    more: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        return not (self.owners or self.machines or self.visits or self.invoices)


def found(what: Sought) -> SearchFound:
    owners, machines = list(_owners(what)[: SHOWN + 1]), list(_machines(what)[: SHOWN + 1])
    visits, invoices = list(visits_sought(what)[: SHOWN + 1]), list(_invoices(what)[: SHOWN + 1])
    counts = {"owners": len(owners), "machines": len(machines), "visits": len(visits), "invoices": len(invoices)}
    more = tuple(kind for kind, count in counts.items() if count > SHOWN)
    return SearchFound(owners[:SHOWN], machines[:SHOWN], visits[:SHOWN], invoices[:SHOWN], more)


def _owners(what: Sought) -> QuerySet[Owner]:
    rows = Owner.objects.filter(joined_into=None).annotate(bare=_bare("telephone"))
    return rows.filter(_every_word(what, "name", "email") | _telephone(what))


def _machines(what: Sought) -> QuerySet[Machine]:
    rows = Machine.objects.filter(joined_into=None).select_related("owner")
    rows = rows.annotate(bare=_bare("owner__telephone"), plate=_bare("registration"))
    texts = ("words", "registration", "owner__name")
    return rows.filter(_every_word(what, *texts) | _telephone(what) | _registration(what))


def visits_sought(what: Sought) -> QuerySet[Visit]:
    """The one whose number it is first, then the newest."""
    rows = Visit.objects.select_related("owner", "machine", "kind", "card")
    rows = rows.annotate(bare=_bare("owner__telephone"), plate=_bare("machine__registration"))
    texts = ("owner__name", "owner__email", "machine__words", "machine__registration")
    rows = rows.filter(_number(what) | _every_word(what, *texts) | _telephone(what) | _registration(what))
    return rows.order_by(_itself_first(what), "-number")


def _invoices(what: Sought) -> QuerySet[Invoice]:
    rows = Invoice.objects.select_related("visit__owner", "visit__machine", "credit_note")
    rows = rows.annotate(bare=_bare("visit__owner__telephone"), plate=_bare("visit__machine__registration"))
    texts = ("visit__owner__name", "visit__owner__email", "machine", "visit__machine__registration")
    rows = rows.filter(_number(what) | _every_word(what, *texts) | _telephone(what) | _registration(what))
    return rows.order_by(_itself_first(what), "-number")


def _number(what: Sought) -> Q:
    return _none() if what.number is None else Q(number=what.number)


def _telephone(what: Sought) -> Q:
    return Q(bare__contains=what.telephone) if what.telephone else _none()


def _registration(what: Sought) -> Q:
    return Q(plate__icontains=what.registration) if what.registration else _none()


def _every_word(what: Sought, *fields: str) -> Q:
    every = Q() if what.words else _none()
    for word in what.words:
        one = Q()
        for field in fields:
            one |= _holds(field, word)
        every &= one
    return every


def _holds(field: str, word: str) -> Q:
    """In either case. SQLite's own LIKE knows that of the letters of ASCII only."""
    holds = Q(**{f"{field}__icontains": word})
    if not word.isascii():
        for spelt in (word.lower(), word.upper(), word.capitalize()):
            holds |= Q(**{f"{field}__contains": spelt})
    return holds


def _none() -> Q:
    return Q(pk__in=())


def _itself_first(what: Sought) -> Case:
    return Case(When(number=what.number, then=Value(0)), default=Value(1)) if what.number else Case(default=Value(1))


def _bare(field: str) -> Replace:
    """Without what people write between the digits."""
    bare = Replace(field, Value(LEFT_OUT[0]))
    for sign in LEFT_OUT[1:]:
        bare = Replace(bare, Value(sign))
    return bare
