"""The garage of the soak: its people's browsers, its clock, its post. Nothing is shown to it but pages and mails."""

from __future__ import annotations

import re
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from random import Random
from unittest.mock import patch

from django.test import override_settings

from diagnostics import tasks as of_diagnostics
from diagnostics.hearing import tasks as of_hearing
from garage import tasks as of_garage
from garage.core.text.languages import ENGLISH
from garage.models.visits import Visit
from garage.reads.shop import the_shop
from jobs import tasks as of_jobs
from jobs.demo import garage as demo
from tests.soak.browser import Browser
from tests.soak.must_hold import Watch

HOST = "127.0.0.1"
PASSWORDS = {username: password for username, password, *_ in demo.LOG_INS}
BEGINS = datetime(2027, 3, 1, 7, 30, tzinfo=UTC)  # a Monday; summer time begins on the 28th of that month
SPOKEN = (ENGLISH, ENGLISH, "de", "it")
OPENS, CLOSES = time(7, 30), time(18, 30)
OFTEN = (  # what beat calls each minute or oftener
    of_garage.free_lapsed_holds,
    of_garage.free_unconfirmed,
    of_garage.act_on_silence,
    of_garage.offer_freed_times,
    of_hearing.hear_clips,
    of_jobs.make_papers,
    of_garage.make_export,
    of_garage.send_due,
)
HOURLY = (of_garage.free_unpaid, of_jobs.remind_owners, of_jobs.forget_run_files, of_jobs.forget_sent_forms)
DAILY = (
    of_garage.forget_old_things,
    of_jobs.check_the_book,
    of_jobs.forget_old_invoices,
    of_diagnostics.count_by_a_new_bank,
    of_diagnostics.look_through_closed_cards,
)


class SoakGarage:
    """now: what its clock shows. did: how often each deed was really done. till: what was typed into the book, and
    taken by it, kept beside it.
    """

    def __init__(self, seed: int, pace: tuple[int, ...]) -> None:
        self.pace = pace
        self.chance, self.began, self.now = Random(seed), BEGINS, BEGINS
        self.answered: Counter[int] = Counter()
        self.did: Counter[str] = Counter()
        self.story: list[str] = []
        self.till = Decimal(0)
        self.founded = demo.founded(now=self.now)
        self.local = the_shop().local_time
        self.watch = Watch(self)
        self.boss, self.mechanic, self.desk = self._a_browser(), self._a_browser(), self._a_browser()
        self._log_in()
        self._hour, self._day = self.now.hour, self.now.date()

    def an_owner(self) -> Browser:
        """On a device of their own, that was never here, in the language of whoever it belongs to."""
        return self._a_browser(self.chance.choice(SPOKEN))

    def _a_browser(self, language: str = ENGLISH) -> Browser:
        return Browser(HOST, self.watch.after, self.answered, language)

    def _log_in(self) -> None:
        """Each morning: nobody stays in for a month."""
        for name, browser in {"boss": self.boss, "mechanic": self.mechanic, "desk": self.desk}.items():
            browser.client.cookies.clear()
            browser.opens("/log-in/")
            browser.presses("Log in", "", name=name, password=PASSWORDS[name])

    def does(self, name: str, deed: Callable[[SoakGarage], bool]) -> bool:
        """Whether there was anything to do."""
        self.story.append(f"{self.now:%d %b %H:%M} {name}")
        did = deed(self)
        self.did[name] += did
        if did:
            self.sweeps(OFTEN)
            self.watch.looks_at_all()
        else:
            self.story.pop()
        return did

    def has_missed(self, names: frozenset[str]) -> list[str]:
        """States that no visit came into, and deeds that never were done."""
        done = {name for name, times in self.did.items() if times}
        return sorted(names - done - self.watch.reached.keys())

    def told(self, error: Exception) -> str:
        """What went wrong, where, and what was done before it."""
        where = "".join(traceback.format_exception(error, limit=-6))
        return "\n".join([*self.story[-25:], where])

    def sweeps(self, tasks: tuple[Callable[[], object], ...]) -> None:
        """The tasks themselves, as the worker does them."""
        for task in tasks:
            task()
            self.watch.after(task.__name__)

    def time_passes(self) -> None:
        """A few minutes or an hour; after hours, to the next morning that the garage opens."""
        self.now += timedelta(minutes=self.chance.choice(self.pace))
        if self.local.shown(self.now).time() > CLOSES:
            day = self.local.day(self.now) + timedelta(days=1)
            while day.weekday() not in demo.WORKDAYS:
                day += timedelta(days=1)
            self.now = self.local.to_utc(datetime.combine(day, OPENS))
        if (self.now.hour, self.now.date()) != (self._hour, self._day):
            self._hour = self.now.hour
            self.sweeps(HOURLY)
        if self.now.date() != self._day:
            self._day = self.now.date()
            self._log_in()
            self.sweeps(DAILY)
            self.watch.looks_at_pages()

    def a_visit(self, *states: str) -> Visit | None:
        found = list(Visit.objects.filter(state__in=states).order_by("number"))
        return self.chance.choice(found) if found else None

    def link(self, visit: Visit, ends: str = "") -> str:
        """The newest in the mails about the visit that goes there: an owner has no other. Empty ends: of its page."""
        pattern = rf"https?://[^/\s]+(/{ends})" if ends else r"https?://[^/\s]+(/visit/[^/\s]+/)(?=\s|$)"
        for sent in visit.messages.filter(sent_at__isnull=False):  # the newest first
            if found := re.findall(pattern, sent.text):
                return str(found[-1])
        return ""


@contextmanager
def soaked(seed: int, pace: tuple[int, ...]) -> Iterator[SoakGarage]:
    """All that asks what time it is, page, sweep and session alike, is told the garage's own."""
    with override_settings(EMAIL_URL="memorymail:", SITE_URL=f"http://{HOST}", ALLOWED_HOSTS=[HOST]):
        with patch("django.utils.timezone.now", lambda: BEGINS):
            garage = SoakGarage(seed, pace)
        try:
            with patch("django.utils.timezone.now", lambda: garage.now):
                yield garage
        finally:
            of_hearing.decoder.close()
