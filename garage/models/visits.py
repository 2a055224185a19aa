"""Visits, the steps planned for them, and the places sold: one row per place and five-minute piece."""

import secrets
import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from garage.core import deposits, routes, states
from garage.core.selling import owner_choice
from garage.core.shop_limits import MOST_POUNDS
from garage.core.text.languages import told
from garage.models.bounds import POUNDS, within
from garage.models.owners import Machine, Owner
from garage.models.shop import PLACE_KINDS, VisitKind

FIRST_GENERATIONS = 999_999  # six digits: a link stays short enough for a line of a mail


def first_link_generation() -> int:
    """By chance: a backup put back, or an emptied database, gives ids out again that stand in links mailed before. Such
    a link must not open the visit of somebody else.
    """
    return secrets.randbelow(FIRST_GENERATIONS) + 1


class Visit(models.Model):
    number = models.PositiveIntegerField(unique=True, help_text="What the workshop calls it.")
    owner = models.ForeignKey(Owner, models.PROTECT, related_name="visits")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="visits")
    kind = models.ForeignKey(VisitKind, models.PROTECT, related_name="visits")
    state = models.CharField(max_length=20, choices=list(states.WORDS.items()))
    booked_at = models.DateTimeField()
    wants = models.TextField(blank=True, help_text="In the owner's own words.")
    # The agreed time. Empty while the slot is given back and no new one is agreed.
    at = models.CharField(max_length=6, choices=PLACE_KINDS, blank=True)
    starts_at = models.DateTimeField(null=True, blank=True)
    minutes = models.PositiveSmallIntegerField(default=0)
    price = models.DecimalField(max_digits=8, decimal_places=2, help_text="As booked: pounds, VAT included.")
    deposit = models.DecimalField(max_digits=8, decimal_places=2, default=0)
    deposit_paid = models.DecimalField(max_digits=8, decimal_places=2, default=0)
    deposit_due_on = models.DateField(
        null=True, blank=True, help_text="The last local day for it, while it is awaited."
    )
    deposit_then = models.CharField(
        max_length=6,
        choices=list(deposits.THEN_WORDS.items()),
        blank=True,
        default="",
        db_default="",
        help_text="What becomes of the money of a visit that ended without work.",
    )
    # What the judgement decided: the route acted upon, and what it means for the plan.
    route = models.CharField(max_length=12, blank=True, choices=list(routes.WORDS.items()))
    route_at = models.DateTimeField(null=True, blank=True)
    route_reasons = models.JSONField(default=list, blank=True, help_text="Plain sentences.")
    route_asked = models.CharField(max_length=12, blank=True, help_text="A route that waits for the boss.")
    to_ask = models.JSONField(default=list, blank=True, help_text="Ring list: what to ask on the telephone.")
    owner_remarks = models.JSONField(
        default=list, blank=True, help_text="What take-in and gate must know, in plain words: it leaks petrol …"
    )
    must_not_run = models.JSONField(
        default=list, db_default=[], blank=True, help_text="Findings that keep it off the rollers: plain sentences."
    )
    rung_at = models.DateTimeField(null=True, blank=True)
    ready_chance = models.FloatField(default=1.0)
    bench_minutes = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Expected, for fix first.")
    bench_minutes_from = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="One machine in ten is put right in fewer."
    )
    bench_minutes_to = models.PositiveSmallIntegerField(null=True, blank=True, help_text="One in ten takes more.")
    bench_limit_pounds = models.PositiveIntegerField(
        null=True, blank=True, help_text="Bench work the owner agreed to without being asked again; empty: the shop's."
    )
    # Fix first, with time on the rollers: its owner says what happens to it (core/selling/owner_choice.py).
    choice = models.CharField(
        max_length=8, choices=list(owner_choice.WORDS.items()), blank=True, default="", db_default=""
    )
    choose_by = models.DateTimeField(
        null=True, blank=True, help_text="Without an answer by then its time is given back; empty: a person rings."
    )
    chosen_at = models.DateTimeField(null=True, blank=True)
    may_go_on_from = models.DateTimeField(
        null=True,
        blank=True,
        help_text="Left with us: since then it may go on the rollers without its owner being asked.",
    )
    asked_since = models.DateTimeField(
        null=True, blank=True, help_text="Asked then about more work, reminded, not answered: its owner must be rung."
    )
    # The personal link: a higher generation revokes every link issued before.
    link_generation = models.PositiveIntegerField(default=first_link_generation)
    links_anew_at = models.DateTimeField(
        null=True, blank=True, help_text="When links of another generation were last issued: they count from then."
    )
    page_opened_at = models.DateTimeField(
        null=True, blank=True, help_text="By its owner, while it must not run: has the warning been read?"
    )
    calendar_uid = models.UUIDField(default=uuid.uuid4, unique=True)
    calendar_sequence = models.PositiveIntegerField(default=0)
    arrived_at = models.DateTimeField(null=True, blank=True)
    gate_at_bench_passed_at = models.DateTimeField(
        null=True, blank=True, help_text="From then on it may stand on the rollers, but not run on them."
    )
    gate_passed_at = models.DateTimeField(
        null=True, blank=True, help_text="Both parts passed, or overridden; empty again when a gate fails."
    )
    ready_at = models.DateTimeField(null=True, blank=True)
    collected_at = models.DateTimeField(null=True, blank=True)
    called_off_at = models.DateTimeField(null=True, blank=True)
    called_off_why = models.CharField(max_length=200, blank=True)
    forgotten_at = models.DateTimeField(
        null=True, blank=True, help_text="Since when all that its owner sent in is gone (changes/visit/forgetting.py)."
    )

    class Meta:
        ordering = ["number"]
        indexes = [models.Index(fields=[field]) for field in ("starts_at", "arrived_at", "collected_at", "state")]
        constraints = [
            models.CheckConstraint(
                condition=Q(starts_at=None, at="", minutes=0) | Q(starts_at__isnull=False, minutes__gt=0) & ~Q(at=""),
                name="a_time_is_whole",
            ),
            within(price=POUNDS, deposit=POUNDS, deposit_paid=POUNDS, bench_limit_pounds=(0, MOST_POUNDS)),
        ]

    def __str__(self) -> str:
        return f"{self.number}  {self.machine.words}"

    @property
    def state_words(self) -> str:
        return told(states.WORDS[self.state])

    @property
    def route_words(self) -> str:
        return routes.WORDS.get(self.route, "")

    @property
    def waits_for_its_owner(self) -> bool:
        """Whether its owner is asked what is to happen to it. Until there is an answer it keeps its time."""
        return self.choice == owner_choice.ASKED

    @property
    def is_left_with_us(self) -> bool:
        return self.choice == owner_choice.WITH_US

    @property
    def is_asked_to_go_on(self) -> bool:
        """Whether its owner says yes before it goes on the rollers in a time that came free."""
        return self.is_left_with_us and self.may_go_on_from is None

    @property
    def is_kept_off(self) -> bool:
        """Whether findings or a person's own word say that it must not run. Pages warn by it; doors ask the rule."""
        return bool(self.must_not_run) or self.route == routes.DO_NOT_RUN

    @property
    def why_kept_off(self) -> list[str]:
        return list(self.must_not_run or self.route_reasons)


class Day(models.Model):
    """The row locked first by everybody who sells a time on this local day."""

    day = models.DateField(unique=True)


class Hold(models.Model):
    """A time kept for one browser for some minutes while its owner fills in the pages."""

    browser = models.CharField(max_length=64, unique=True, help_text="A random key kept in the session.")
    address_key = models.CharField(max_length=64, help_text="Keyed hash of the network address, for the cap.")
    kind = models.ForeignKey(VisitKind, models.CASCADE)
    starts_at = models.DateTimeField()
    minutes = models.PositiveSmallIntegerField()
    began_at = models.DateTimeField()
    expires_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["expires_at"])]


class HoldBegun(models.Model):
    """One row per hold, so that one address cannot take every time of a day in turn. Swept after an hour."""

    address_key = models.CharField(max_length=64)
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["address_key", "at"])]


class SoldPiece(models.Model):
    """Five minutes of the n-th roller or bench, held or sold. The unique constraint prevents selling twice."""

    at = models.CharField(max_length=6, choices=PLACE_KINDS)
    place = models.PositiveSmallIntegerField(help_text="The n-th of its kind that day: a count, not a certain roller.")
    begins_at = models.DateTimeField(help_text="A whole five minutes, UTC.")
    visit = models.ForeignKey(Visit, models.CASCADE, null=True, blank=True, related_name="pieces")
    hold = models.ForeignKey(Hold, models.CASCADE, null=True, blank=True, related_name="pieces")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["at", "place", "begins_at"], name="never_sold_twice"),
            models.CheckConstraint(
                condition=Q(visit=None, hold__isnull=False) | Q(visit__isnull=False, hold=None), name="held_or_sold"
            ),
        ]


class Step(models.Model):
    """One stretch of work of a visit at one station: planned, running or over."""

    visit = models.ForeignKey(Visit, models.CASCADE, related_name="steps")
    index = models.PositiveSmallIntegerField()
    at = models.CharField(max_length=6, choices=PLACE_KINDS)
    minutes = models.PositiveSmallIntegerField()
    minutes_before = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="As planned before what the bench found changed them."
    )
    what = models.CharField(max_length=40, help_text="gate, set-up, fix first …")
    is_check = models.BooleanField(default=False)
    # On the rollers before the session: the machine is strapped down and the gate's second part is answered.
    strap_minutes = models.PositiveSmallIntegerField(default=0, db_default=0)
    strapped_from = models.DateTimeField(null=True, blank=True, help_text="Holds while it stands on the rollers.")
    station = models.PositiveSmallIntegerField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    began_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    pin_station = models.PositiveSmallIntegerField(null=True, blank=True)
    pin_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    pin_begins_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["visit", "index"]
        indexes = [models.Index(fields=["began_at"])]
        constraints = [
            models.UniqueConstraint(fields=["visit", "index"], name="one_step_an_index"),
            models.CheckConstraint(
                condition=Q(ended_at=None) | Q(ended_at__gte=F("began_at")), name="a_step_ends_after_it_begins"
            ),
        ]


class TakeIn(models.Model):
    """Receiving a machine: its key, what came with it, how it arrived."""

    visit = models.OneToOneField(Visit, models.CASCADE, related_name="take_in")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    how_it_came = models.CharField(
        max_length=10,
        choices=[("ridden", "ridden"), ("trailer", "on a trailer"), ("van", "in a van"), ("pushed", "pushed")],
    )
    key_left = models.BooleanField(default=False)
    came_with = models.TextField(blank=True, help_text="Jets, parts, spare plug, helmet …")
    remarks = models.TextField(blank=True, help_text="Scratches, leaks, what the owner said at the door.")
    stays_overnight = models.BooleanField(default=False)


class Photo(models.Model):
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="photos")
    taken_for = models.CharField(max_length=8, choices=[("take-in", "take-in"), ("gate", "gate"), ("card", "card")])
    file = models.ImageField(upload_to="photos/%Y/%m")
    words = models.CharField(max_length=120, blank=True)
    shown_at = models.DateTimeField(null=True, blank=True, help_text="To the owner, who was asked something with it.")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at"]
