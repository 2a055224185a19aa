"""Everything that the card's page and its printout show."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Prefetch, prefetch_related_objects

from diagnostics.pages.bench import BenchShown, bench_of
from diagnostics.pages.causes import CauseLine, cause_lines
from diagnostics.pages.gate_readings import GateReading, gate_readings
from diagnostics.pages.packers import PackersShown, level_asked
from garage.core import states
from garage.models.people import Person
from garage.models.safety import SafetyRemark
from garage.models.shop import Shop, Station
from garage.models.visits import Photo, Step, Visit
from garage.reads.day_problem import step_of_now, steps_with_people
from garage.reads.safety import safety_remarks_of
from jobs.models.cards import Card, CardLine, Labour
from jobs.models.parts import PartOrder
from jobs.models.service import ServiceReminder
from jobs.pages.asked import AgreedShown, AskedShown, agreed_shown, shown
from jobs.pages.jets import plug_asked
from jobs.pages.late_parts import LateOrder, late_orders
from jobs.pages.returning import ReturningShown, returning_shown
from jobs.pages.road_speed import road_speed_said
from jobs.pages.runs import ShownRuns, shown_runs
from jobs.pages.stations import gate_is_next, stations_for, why_no_ride
from jobs.reads.access import card_of, running_clock
from jobs.reads.consents import asked_of
from jobs.reads.parts import waits_for


@dataclass(frozen=True)
class Clock:
    labour: Labour
    spent: timedelta

    @property
    def minutes(self) -> int:
        return self.spent // timedelta(minutes=1)

    @property
    def is_running(self) -> bool:
        return self.labour.ended_at is None


@dataclass(frozen=True)
class CardPage:
    """my_clock: the viewer's running clock, on any card; None on paper. bench: None without a judgement.

    step: the running or next one of a machine in the building; None on paper and once the card is closed. stations:
    where it can begin. level: packers to work out, if the strobe climbs; None once the card is closed. returning: of a
    come-back. waits_for: parts that are ordered; late_parts:
    the same where no card takes them any more. asked: more work that the owner was asked about. money: what is agreed
    and what the card comes to; None on paper.
    """

    visit: Visit
    card: Card | None
    lines: list[CardLine]
    gate_readings: tuple[GateReading, ...]
    clocks: list[Clock]
    my_clock: Labour | None
    causes: list[CauseLine]
    found_good: list[CauseLine]
    bench: BenchShown | None
    level: PackersShown | None
    step: Step | None
    gate_is_next: bool
    stations: list[Station]
    photos: list[Photo]
    service: ServiceReminder | None
    safety: list[SafetyRemark]
    returning: ReturningShown | None
    waits_for: list[PartOrder]
    late_parts: list[LateOrder]
    asked: list[AskedShown]
    money: AgreedShown | None
    shown: ShownRuns
    road_speed: str

    @property
    def is_closed(self) -> bool:
        return self.card is not None and self.card.closed_at is not None

    @property
    def is_open(self) -> bool:
        return not self.is_closed

    @property
    def my_clock_is_here(self) -> bool:
        return self.my_clock is not None and self.my_clock.card.visit_id == self.visit.pk

    @property
    def plug_asked(self) -> str:
        """To read the plug after a smaller main jet, in a sentence; empty if there is nothing to ask."""
        return "" if self.is_closed else plug_asked(self.lines)

    @property
    def why_no_ride(self) -> str:
        """Empty if it may be ridden, as far as the visit's own row knows."""
        return why_no_ride(self.visit)

    @property
    def last_line(self) -> CardLine | None:
        """The one written last that still stands."""
        return next((line for line in reversed(self.lines) if not line.struck_at), None)

    @property
    def spent(self) -> timedelta:
        return sum((clock.spent for clock in self.clocks), timedelta())

    @property
    def is_running(self) -> bool:
        return any(clock.is_running for clock in self.clocks)


def card_page(visit: Visit, *, person: Person | None = None, shop: Shop | None = None, now: datetime) -> CardPage:
    """person, shop: None on paper."""
    card = card_of(visit)
    _read_at_once(visit, card)
    lines = list(card.lines.all()) if card else []
    clocks = list(card.labour.all()) if card else []
    named = cause_lines(visit)
    is_open = not (card and card.closed_at)
    step = step_of_now(visit, list(visit.steps.all())) if is_open and person else None
    asked, ordered = asked_of(visit), waits_for(visit)
    is_over = not is_open or visit.state in states.OVER
    return CardPage(
        visit=visit,
        card=card,
        lines=lines,
        gate_readings=gate_readings(visit),
        clocks=[Clock(clock, (clock.ended_at or now) - clock.began_at) for clock in clocks],
        my_clock=running_clock(person) if person else None,
        causes=[line for line in named if not line.cause.found_good],
        found_good=[line for line in named if line.cause.found_good],
        bench=bench_of(visit, named, is_open=is_open),
        level=level_asked(visit) if is_open else None,
        step=step,
        gate_is_next=gate_is_next(visit, step),
        stations=stations_for(visit, step),
        photos=list(visit.photos.all()),
        service=getattr(card.visit, "service_reminder", None) if card else None,
        safety=list(safety_remarks_of(visit)),
        returning=returning_shown(visit, card),
        waits_for=ordered,
        late_parts=late_orders(ordered) if is_over else [],
        asked=shown(asked, is_over=is_over),
        money=agreed_shown(visit, card, shop, asked, now=now) if shop else None,
        shown=shown_runs(visit),
        road_speed=road_speed_said(visit),
    )


def _read_at_once(visit: Visit, card: Card | None) -> None:
    """What both the page and the sum of the card go through."""
    prefetch_related_objects([visit], Prefetch("steps", steps_with_people()))
    if card:
        names = ("lines", CardLine), ("labour", Labour)
        rows = (Prefetch(name, model._default_manager.select_related("by")) for name, model in names)
        prefetch_related_objects([card], *rows)
