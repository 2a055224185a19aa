"""What a new garage still lacks until the first roller time can be sold, and on which page the boss fills it in."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from enum import Enum


class BeginPage(Enum):
    """A page of setting up, in order. The value stands in its address."""

    GARAGE = "garage"
    STATIONS = "stations"
    PEOPLE = "people"
    SESSION = "session"
    MONEY = "money"


class Lack(Enum):
    """Something missing. The value is the page where it is filled in."""

    NAME = (BeginPage.GARAGE, "name")
    ADDRESS = (BeginPage.GARAGE, "address")
    TELEPHONE = (BeginPage.GARAGE, "telephone")
    EMAIL = (BeginPage.GARAGE, "email")
    ROLLERS = (BeginPage.STATIONS, "rollers")
    BENCH = (BeginPage.STATIONS, "bench")
    HOURS = (BeginPage.STATIONS, "hours")
    ROLLER_PERSON = (BeginPage.PEOPLE, "rollers")
    BENCH_PERSON = (BeginPage.PEOPLE, "bench")
    SAME_DAY = (BeginPage.PEOPLE, "same day")
    SESSION = (BeginPage.SESSION, "session")
    PRICE = (BeginPage.SESSION, "price")
    LABOUR = (BeginPage.MONEY, "labour")

    @property
    def page(self) -> BeginPage:
        return self.value[0]


@dataclass(frozen=True)
class WorkerDays:
    """weekdays: those worked, 0 is Monday."""

    does_bench: bool
    does_rollers: bool
    weekdays: frozenset[int]


@dataclass(frozen=True)
class Begun:
    """What a garage has so far. session_pence: the price of each roller session that can be booked online.
    labour_pence: an hour.
    """

    name: str = ""
    address: str = ""
    telephone: str = ""
    email: str = ""
    rollers: int = 0
    benches: int = 0
    open_weekdays: frozenset[int] = frozenset()
    workers: Sequence[WorkerDays] = ()
    session_pence: Sequence[int] = ()
    labour_pence: int = 0


def lacks(begun: Begun) -> tuple[Lack, ...]:
    """In the order of the pages. Empty once a roller time can be sold, as far as the settings go: whether the day can
    do it is for free_times to say.

    A session needs a bench too: a machine passes the gate there before it goes on the rollers.

    >>> [lack.name for lack in lacks(Begun(name="A", address="B", telephone="C", email="D", rollers=1, benches=1))]
    ['HOURS', 'ROLLER_PERSON', 'BENCH_PERSON', 'SESSION', 'LABOUR']
    """
    rollers = _days(begun, lambda worker: worker.does_rollers)
    bench = _days(begun, lambda worker: worker.does_bench)
    missing = {
        Lack.NAME: not begun.name.strip(),
        Lack.ADDRESS: not begun.address.strip(),
        Lack.TELEPHONE: not begun.telephone.strip(),
        Lack.EMAIL: not begun.email.strip(),
        Lack.ROLLERS: not begun.rollers,
        Lack.BENCH: not begun.benches,
        Lack.HOURS: not begun.open_weekdays,
        Lack.ROLLER_PERSON: not rollers,
        Lack.BENCH_PERSON: not bench,
        Lack.SAME_DAY: bool(begun.open_weekdays and rollers and bench) and not (begun.open_weekdays & rollers & bench),
        Lack.SESSION: not begun.session_pence,
        Lack.PRICE: bool(begun.session_pence) and not any(begun.session_pence),
        Lack.LABOUR: begun.labour_pence <= 0,
    }
    return tuple(lack for lack, is_so in missing.items() if is_so)


def next_page(after: BeginPage) -> BeginPage | None:
    """None after the last.

    >>> next_page(BeginPage.GARAGE), next_page(BeginPage.MONEY)
    (<BeginPage.STATIONS: 'stations'>, None)
    """
    pages = list(BeginPage)
    place = pages.index(after) + 1
    return pages[place] if place < len(pages) else None


def page_before(page: BeginPage) -> BeginPage | None:
    """None before the first."""
    place = list(BeginPage).index(page)
    return list(BeginPage)[place - 1] if place else None


def first_lacking(missing: Collection[Lack]) -> BeginPage | None:
    """Where to go on: the first page on which something is missing. None if nothing is."""
    return next((page for page in BeginPage if any(lack.page == page for lack in missing)), None)


def _days(begun: Begun, can: Callable[[WorkerDays], bool]) -> frozenset[int]:
    """The weekdays on which somebody who can do it works."""
    return frozenset[int]().union(*(worker.weekdays for worker in begun.workers if can(worker)))
