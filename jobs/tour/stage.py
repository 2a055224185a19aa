"""Where the tour is played: a throw-away garage in its own folder, with its people, mail and papers."""

from __future__ import annotations

import email
import email.policy
from collections.abc import Sequence
from contextlib import closing
from copy import copy
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email.message import EmailMessage
from pathlib import Path

from celery import current_app
from django.conf import settings
from django.core.management import call_command
from django.db import connections
from django.test.utils import override_settings

from garage.core.time.local_time import LocalTime
from garage.tasks import send_all_due
from jobs.demo import garage
from jobs.demo.garage import Garage
from jobs.reads.papers import waiting
from jobs.tasks import make
from jobs.tour.facts import Facts
from jobs.tour.mailbox import FOLDER
from jobs.tour.telling import Mismatch, Telling
from jobs.tour.told_time import ToldTime
from jobs.tour.visitor import Visitor

HOST = "127.0.0.1"
NO_TIME = datetime.min.replace(tzinfo=UTC)


@dataclass
class Stage:
    """slot: the roller time booked. another: the browser of another owner. Keeps what the story learns on its way
    (number, links, cause).
    """

    facts: Facts
    tell: Telling
    papers: Path
    mailbox: Path
    local: LocalTime
    garage: Garage
    told: ToldTime = field(init=False)
    owner: Visitor = field(init=False)
    another: Visitor = field(init=False)
    boss: Visitor = field(init=False)
    desk: Visitor = field(init=False)
    mechanic: Visitor = field(init=False)
    slot: datetime = NO_TIME
    number: int = 0
    sheet_link: str = ""
    visit_link: str = ""
    cause: str = ""

    def __post_init__(self) -> None:
        self.told = ToldTime(self.facts.booked_on)
        self.owner, self.another, self.boss, self.desk, self.mechanic = (Visitor(HOST, self.told) for _ in range(5))

    def of_another_owner(self, facts: Facts) -> Stage:
        """The same garage, people and time, with the visit of the other owner."""
        other = copy(self)
        other.facts, other.owner = facts, self.another
        return other

    def it_is(self, instant: datetime) -> None:
        """What is done from here on is done at this time."""
        self.told.now = instant

    @property
    def machine_kinds(self) -> list[tuple[str, str]]:
        return [(str(kind.pk), name) for name, kind in self.garage.machine_kinds.items()]

    def words(self, instant: datetime) -> str:
        return self.local.in_words(instant)

    def keep(self, name: str, content: bytes) -> None:
        (self.papers / name).write_bytes(content)

    def post(self, name: str, *, at: datetime) -> EmailMessage:
        """Sends what is due, as the worker does; the last mail that went out, kept under that name."""
        before = set(self.mailbox.iterdir())
        for paper in waiting():
            make(paper, now=at)
        send_all_due(lambda: at)
        new = sorted(set(self.mailbox.iterdir()) - before)
        if not new:
            raise Mismatch(f"No email went out ({name}).")
        content = new[-1].read_bytes()
        self.keep(f"{name}.eml", content)
        return email.message_from_bytes(content, policy=email.policy.default)


def use_a_throw_away_garage(folder: Path) -> Path:
    """From here on this process uses only the database, broker, files and mail in folder. Returns the mailbox."""
    mailbox = folder / FOLDER
    for each in (mailbox, folder / "media", folder / "static"):
        each.mkdir()
    override_settings(
        DATA=folder,
        MEDIA_ROOT=folder / "media",
        STATIC_ROOT=folder / "static",
        SITE_URL=f"http://{HOST}",
        ALLOWED_HOSTS=[HOST],
        SECURE_SSL_REDIRECT=False,
        SESSION_COOKIE_SECURE=False,
        CSRF_COOKIE_SECURE=False,
        MIDDLEWARE=[*settings.MIDDLEWARE, "jobs.tour.told_time.ToldTimeMiddleware"],
        EMAIL_URL="filemail:",
        EMAIL_BACKEND="jobs.tour.mailbox.OneFileEach",
    ).enable()
    current_app.conf.update(broker_url="memory://here/", broker_write_url="memory://here/", broker_transport_options={})
    database = {"ENGINE": "django.db.backends.sqlite3", "NAME": str(folder / "tour.sqlite3")}
    database["OPTIONS"] = settings.DATABASES["default"].get("OPTIONS", {}) if _is_sqlite() else {}
    connections.close_all()
    connections.settings = connections.configure_settings({"default": database})
    del connections["default"]
    with closing(connections["default"].cursor()):
        call_command("migrate", interactive=False, verbosity=0)
    return mailbox


def _is_sqlite() -> bool:
    return str(settings.DATABASES["default"]["ENGINE"]).endswith("sqlite3")


def founded(facts: Facts) -> Garage:
    """The demo's garage with the prices of the seed and nobody in it yet."""
    shop = garage.SHOP | {"labour_per_hour": facts.labour_per_hour}
    set_up, *others = garage.VISIT_KINDS
    kinds: Sequence[dict[str, object]] = (set_up | {"price": facts.price, "deposit": facts.deposit}, *others)
    return garage.founded(now=facts.booked_on, shop=shop, visit_kinds=kinds)
