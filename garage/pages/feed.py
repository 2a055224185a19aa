"""The calendar of a person or a station: what was done today, what people work to today, what later days propose.

Machine and visit number only: a calendar is easily passed on. Later days are planned only if something changed since
the calendar was last read, which its tag tells.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from functools import cached_property

from django.conf import settings

from garage.core.drawing.tracks import station_names
from garage.core.planning.day_problem import Placed
from garage.core.planning.stations_now import as_worked
from garage.models.people import Person
from garage.models.plans import AcceptedPlan
from garage.models.shop import Shop, Station
from garage.models.visits import Step
from garage.output import ical
from garage.output.ical import Entry
from garage.reads.day_plan import DayPlan, planned
from garage.reads.day_problem import DaysRead, problem_of, read_days
from garage.reads.feed import accepted_between, done_by, steps_of

DAYS = 14  # today included: as far as people look ahead for their work. Common practice, no source
LEAST = timedelta(minutes=1)  # an entry ends after it begins


@dataclass(frozen=True)
class Feed:
    """The calendar as of now. steps: rows by id. accepted: plans of each day, in order."""

    whose: Person | Station
    shop: Shop
    now: datetime
    read: DaysRead
    accepted: Mapping[date, Sequence[AcceptedPlan]]
    steps: Mapping[int, Step]
    done: Sequence[Step]

    @property
    def days(self) -> tuple[date, ...]:
        return tuple(self.read.first + timedelta(days=n) for n in range(DAYS))

    @property
    def name(self) -> str:
        is_station = isinstance(self.whose, Station)
        return f"{self.whose.name}, {self.shop.name}" if is_station else f"Work at {self.shop.name}"

    @cached_property
    def todays(self) -> tuple[Entry, ...]:
        return (*self._done(), *self._of(planned(self.read, self.read.first, self.accepted.get(self.read.first, ()))))

    @cached_property
    def tag(self) -> str:
        """The same while the calendar tells the same. When a proposal was made does not matter."""
        said = [
            self.name,
            [(e.uid, e.begins_at, e.ends_at, e.summary, e.place, e.is_sure) for e in self.todays],
            [(asdict(problem_of(self.read, day)), [p.pk for p in self.accepted.get(day, ())]) for day in self.days[1:]],
            sorted((pk, _words(step)) for pk, step in self.steps.items()),
            self._places,
        ]
        return hashlib.sha256(json.dumps(said, default=_plain).encode()).hexdigest()

    def file(self) -> bytes:
        """The whole calendar; only this plans the later days."""
        later = [e for day in self.days[1:] for e in self._of(planned(self.read, day, self.accepted.get(day, ())))]
        since, until = self.shop.local_time.bounds(self.read.first, self.read.last)
        uid = str(uuid.uuid5(uuid.NAMESPACE_URL, f"{settings.SITE_URL}/{type(self.whose).__name__}/{self.whose.pk}"))
        return ical.feed_file(
            (*self.todays, *later), name=self.name, uid=uid, since=since, until=until, made_at=self.now
        )

    @cached_property
    def _places(self) -> dict[str, str]:
        names = station_names(problem_of(self.read, self.read.first))
        return {f"{at} {number}": name for (at, number), name in names.items()}

    def _of(self, plan: DayPlan) -> Iterator[Entry]:
        accepted_at = plan.accepted.accepted_at if plan.accepted else None
        jobs = {job.id: job for job in plan.problem.jobs}
        for placed in as_worked(plan.problem, plan.to_work_to, plan.proposed):
            if not self._has(placed, plan):
                continue
            if jobs[placed.job].steps[placed.step].began is not None:
                yield self._entry(placed, plan, said=", under way", revised_at=self.now, is_sure=True)
            else:
                revised_at, is_sure = accepted_at or self.now, accepted_at is not None
                yield self._entry(placed, plan, said="", revised_at=revised_at, is_sure=is_sure)

    def _has(self, placed: Placed, plan: DayPlan) -> bool:
        if isinstance(self.whose, Station):
            return (placed.at, placed.station) == (self.whose.kind, self.whose.number)
        return placed.by == plan.names.get(self.whose.pk)

    def _entry(self, placed: Placed, plan: DayPlan, *, said: str, revised_at: datetime, is_sure: bool) -> Entry:
        step, local = self.steps[plan.step_ids[placed.job, placed.step]], self.shop.local_time
        begins_at, ends_at = (local.at_minute(plan.day, minute) for minute in (placed.begin, placed.end))
        place = self._places.get(f"{placed.at} {placed.station}", "")
        return _entry(step, begins_at, ends_at, said=said, place=place, revised_at=revised_at, is_sure=is_sure)

    def _done(self) -> Iterator[Entry]:
        for step in self.done:
            if step.began_at and step.ended_at:
                place = self._places.get(f"{step.at} {step.station}", "")
                begins_at, ends_at = step.strapped_from or step.began_at, step.ended_at
                yield _entry(step, begins_at, ends_at, said=", done", place=place, revised_at=ends_at, is_sure=True)


def feed_of(whose: Person | Station, shop: Shop, *, now: datetime) -> Feed:
    """Reads the rows and plans nothing yet."""
    local = shop.local_time
    today = local.day(now)
    read = read_days(today, today + timedelta(days=DAYS - 1), now, shop)
    numbers = [visit.number for visits in read.visits.values() for visit in visits]
    since, until = local.bounds(today, today)
    return Feed(
        whose,
        shop,
        now,
        read,
        accepted=accepted_between(read.first, read.last),
        steps={step.pk: step for step in steps_of(numbers)},
        done=done_by(whose, since, until),
    )


def _entry(
    step: Step,
    begins_at: datetime,
    ends_at: datetime,
    *,
    said: str,
    place: str,
    revised_at: datetime,
    is_sure: bool,
) -> Entry:
    uid = str(uuid.uuid5(step.visit.calendar_uid, f"step {step.pk}"))
    ends_at = max(ends_at, begins_at + LEAST)
    return Entry(uid, begins_at, ends_at, revised_at, f"{_words(step)}{said}", place, is_sure)


def _words(step: Step) -> str:
    return f"{step.visit.number} {step.visit.machine.words}: {step.what}"


def _plain(value: object) -> object:
    """For JSON: skills are a set, whose order is nobody's."""
    return sorted(value) if isinstance(value, frozenset) else str(value)
