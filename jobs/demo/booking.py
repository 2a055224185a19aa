"""How the demo books a visit: some days ahead, at a time that was free then, with the check sheet filled in."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from diagnostics.changes import judgements, sheets
from diagnostics.changes.owner_choice import fix_it_yourself
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.hearing import tasks
from diagnostics.hearing.changes import taking_in
from diagnostics.reads.judgement import latest
from garage.changes.visit import bookings, standby
from garage.core.selling.draft import Draft
from garage.core.selling.free_times import nearest
from garage.core.time.open_days import OpenDays
from garage.models.actors import OWNER
from garage.models.visits import Visit
from garage.reads import free
from garage.reads.opening import open_days
from garage.reads.shop import the_shop
from jobs.changes import payments
from jobs.demo.garage import Garage

BOOKED_BEFORE = timedelta(days=6)
SEND_THE_SHEET_BEFORE = timedelta(days=3)
CLIP = Path(__file__).parent / "clips" / "breaks-down.webm"  # the file beside it says how it was made
LOOKED_AT_DAYS = 40  # days before and after now: longer than any run of holidays

HEALTHY: dict[str, Any] = {
    "trouble": "none",
    "where": "everywhere",
    "changed": ["nothing"],
    "nipped": "no",
    "pinking": "no",
    REV_OUT: "clean",
}
FALSE_CEILING = HEALTHY | {"trouble": "misfires", "where": "top", REV_OUT: "ceiling", "came_on": "suddenly"}
MERELY_RICH = HEALTHY | {"trouble": "four-strokes", "where": "top", "changed": ["jets-bigger"], REV_OUT: "smoky"}
PINKING = {"trouble": "down-on-power", "where": "top", "changed": ["exhaust"], "nipped": "no", "pinking": "yes"}


@dataclass(frozen=True)
class Who:
    name: str
    email: str
    telephone: str
    machine: str
    year: int


class Desk:
    """Books visits at the free times nearest to those wanted."""

    def __init__(self, garage: Garage, now: datetime) -> None:
        self.garage, self.now, self.shop = garage, now, the_shop()
        self.local = self.shop.local_time
        self.today = self.local.day(now)

    def open_day(self, count: int) -> date:
        """The count-th open day from today: 0 is today or the next one. Below 0 counts back from today."""
        reach = timedelta(days=LOOKED_AT_DAYS)
        opening: OpenDays = open_days(self.shop, self.today - reach, self.today + reach)
        if count < 0:
            return list(opening.days(self.today - reach, self.today - timedelta(days=1)))[count]
        return list(opening.days(self.today, self.today + reach))[count]

    def booked(self, kind: str, who: Who, *, day: date, minute: int, wants: str = "", has_paid: bool = True) -> Visit:
        """minute: the local time wanted; the nearest free one is taken. has_paid: the deposit is paid at once."""
        visit_kind = self.garage.visit_kinds[kind]
        wished = self.local.at_minute(day, minute)
        told = min(wished, self.now) - BOOKED_BEFORE
        times = free.free_on(free.asked_at_the_desk(visit_kind, self.shop), day, now=told)
        draft = Draft(
            key=uuid.uuid4(),
            kind_slug=kind,
            starts_at=nearest(list(times), wished, 1)[0],
            name=who.name,
            email=who.email,
            telephone=who.telephone,
            machine_words=who.machine,
            machine_kind_id=self.garage.machine_kinds[who.machine].pk,
            year=who.year,
            wants=wants,
        )
        visit = bookings.book_at_the_desk(draft, by=self.garage.desk, now=told)
        if visit_kind.deposit and has_paid:
            payments.deposit(visit, amount=visit_kind.deposit, how="card", by=self.garage.desk, now=told)
        return visit

    def clip_sent(self, visit: Visit) -> None:
        """The owner sends a clip before the sheet, and it is analysed on the spot."""
        told = self._sheet_at(visit)
        sent = SimpleUploadedFile("my rev-out.webm", CLIP.read_bytes(), "audio/webm")
        taking_in.send(visit, upload=sent, now=told)
        tasks.hear_next(lambda: told)
        tasks.decoder.close()

    def _sheet_at(self, visit: Visit) -> datetime:
        """Some days before the visit or an hour ago, whichever is earlier."""
        return min((visit.starts_at or self.now) - SEND_THE_SHEET_BEFORE, self.now - timedelta(hours=1))

    def sheet_filled(self, visit: Visit, answers: Mapping[str, Any], *, is_sent: bool = True) -> None:
        told = self._sheet_at(visit)
        for question, given in answers.items():
            if question == REV_OUT:
                sheets.answer_rev_out(visit, given=given, ticks=[], now=told)
            else:
                sheets.answer(visit, question=question, given=given, now=told)
        if is_sent:
            sheets.send(visit, now=told)

    def asks_for_sooner(self, visit: Visit) -> None:
        """Its owner stands by: a day's notice, any day of the working week."""
        standby.ask(visit, notice_hours=24, weekdays=range(5), by=OWNER, now=self._sheet_at(visit))

    def owner_puts_it_right(self, visit: Visit) -> None:
        """Asked how, the owner chooses to mend it at home."""
        fix_it_yourself(visit, by=OWNER, now=self.now - timedelta(minutes=20))

    def boss_says_yes(self, visit: Visit) -> None:
        """The boss agrees with the judgement of the sheet."""
        judgement = latest(visit)
        if judgement is not None:
            judgements.act(judgement, by=self.garage.boss, now=self.now - timedelta(minutes=40))
