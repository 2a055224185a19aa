"""The garage's own settings: hours, stations, visit kinds, prices, costs. One row of Shop."""

from datetime import time
from decimal import Decimal

from django.db import models
from django.db.models import Q

from garage.core.currencies import LONGEST_TAX_NAME, POUND, VAT
from garage.core.paid_to import HOME
from garage.core.selling.own_changes import LATE_HOURS, late_words
from garage.core.shop_limits import MOST_PENCE, MOST_POUNDS
from garage.core.time.day_minutes import minute_of
from garage.core.time.local_time import LocalTime
from garage.core.time.open_days import Hours
from garage.core.time.quiet_hours import QuietHours
from garage.core.time.roller_hours import RollerHours
from garage.models.bounds import PER_CENT, POUNDS, within

ROLLER, BENCH = "roller", "bench"
PLACE_WORDS = {ROLLER: "rollers", BENCH: "bench"}
PLACE_KINDS = list(PLACE_WORDS.items())
A4, LETTER = "a4", "letter"
PAPER_SIZES = {A4: "A4", LETTER: "Letter"}  # each has its page in static/<size>.css


class Shop(models.Model):
    name = models.CharField(max_length=80)
    address = models.TextField(help_text="One line each, town and postcode included.")
    telephone = models.CharField(max_length=30)
    email = models.EmailField()
    zone = models.CharField(max_length=40, default="Europe/London")
    holiday_country = models.CharField(max_length=2, default="GB")
    holiday_part = models.CharField(max_length=8, default="ENG", blank=True)
    vat_number = models.CharField(max_length=14, blank=True, help_text="Empty: not registered, invoices carry no VAT.")
    vat_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("20"))
    labour_per_hour = models.DecimalField(max_digits=8, decimal_places=2, help_text="Pounds an hour, VAT included.")
    labour_rounding = models.CharField(
        max_length=8,
        choices=[("down", "down"), ("nearest", "to the nearest"), ("up", "up")],
        default="down",
        db_default="down",
        help_text="Of labour by the clock to tenths of an hour.",
    )
    bench_limit_pounds = models.PositiveIntegerField(
        default=120, db_default=120, help_text="Bench work up to this needs no further word from the owner."
    )
    payment_words = models.TextField(blank=True, help_text="How to pay, as printed on invoices.")
    bank_account = models.CharField(
        max_length=42, blank=True, default="", db_default="", help_text="An IBAN, or sort code and account, no spaces."
    )
    bank_bic = models.CharField(max_length=14, blank=True, default="", db_default="")
    bank_holder = models.CharField(
        max_length=70, blank=True, default="", db_default="", help_text="Empty: the garage's name."
    )
    currency = models.CharField(max_length=3, default=POUND, db_default=POUND, help_text="ISO 4217.")
    tax_name = models.CharField(
        max_length=LONGEST_TAX_NAME, default=VAT, db_default=VAT, help_text="What the tax on sales is called."
    )
    country = models.CharField(max_length=2, default=HOME, db_default=HOME, help_text="ISO 3166-1.")
    company_number = models.CharField(
        max_length=35, blank=True, default="", db_default="", help_text="In the register of companies; empty for none."
    )
    paper_size = models.CharField(
        max_length=8,
        choices=list(PAPER_SIZES.items()),
        default=A4,
        db_default=A4,
        help_text="Of the papers that are made here.",
    )
    cancel_words = models.CharField(max_length=200, blank=True, help_text="What happens to a deposit.")
    deposit_days = models.PositiveSmallIntegerField(
        default=5, db_default=5, help_text="After booking, to pay a deposit."
    )
    deposit_frees_after_days = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="After the day for it, an unpaid time is free again; empty: a person decides."
    )
    demo_words = models.CharField(
        max_length=200,
        blank=True,
        default="",
        db_default="",
        help_text="At which hours a demo plays; empty: not moved.",
    )
    does_words = models.TextField(blank=True, help_text="What the garage does, for the front page.")
    # What being wrong costs, in pence: prices the routes (manual of `assess`).
    slot_lost_pence = models.PositiveIntegerField(default=9000)
    bench_check_pence = models.PositiveIntegerField(default=2500)
    call_pence = models.PositiveIntegerField(default=600)
    bench_minute_pence = models.PositiveIntegerField(default=75)
    # What it is worth to learn before the visit that a machine must not be run. The check sheet asks accordingly.
    stopped_in_time_pence = models.PositiveIntegerField(default=1500)
    # Whether a route acts alone, or the boss is asked first.
    fix_first_acts_alone = models.BooleanField(default=False)
    phone_first_acts_alone = models.BooleanField(default=False)
    do_not_run_acts_alone = models.BooleanField(default=False)
    # Fix first, with time on the rollers: how long its owner may take to say what happens to it.
    choose_hours = models.PositiveSmallIntegerField(
        default=24, db_default=24, help_text="Of an owner whose machine is to be put right first; 0: nobody is asked."
    )
    floor_places = models.PositiveSmallIntegerField(
        default=2, db_default=2, help_text="Room for machines that stay overnight."
    )
    # A freed time goes to standby first (core/selling/standby.py).
    standby_minutes = models.PositiveSmallIntegerField(
        default=120, db_default=120, help_text="Before a freed time is on sale to everybody."
    )
    standby_today_minutes = models.PositiveSmallIntegerField(
        default=20, db_default=20, help_text="The same, of a time on the same day."
    )
    offer_minutes = models.PositiveSmallIntegerField(
        default=30, db_default=30, help_text="How long one owner's offer is open."
    )
    offers_at_once = models.PositiveSmallIntegerField(
        default=1, db_default=1, help_text="Owners asked at the same time; the first yes has it."
    )
    late_hours = models.PositiveSmallIntegerField(
        default=LATE_HOURS, db_default=LATE_HOURS, help_text="Before the time: calling off or moving later is late."
    )
    guard_minutes = models.PositiveSmallIntegerField(default=10)
    gate_minutes = models.PositiveSmallIntegerField(default=20, help_text="Of its part at the bench.")
    strap_minutes = models.PositiveSmallIntegerField(
        default=5, db_default=5, help_text="On the rollers before the session: straps, and the gate's second part."
    )
    hold_minutes = models.PositiveSmallIntegerField(default=10)
    hold_minutes_in_all = models.PositiveSmallIntegerField(default=40)
    holds_per_address_and_hour = models.PositiveSmallIntegerField(default=12)
    # Booking online: what one stranger can take (core/selling/unconfirmed.py). The desk books as it likes.
    confirm_hours = models.PositiveSmallIntegerField(
        default=2, db_default=2, help_text="Opening hours for which a time is held until its owner confirms it."
    )
    holds_per_network = models.PositiveSmallIntegerField(
        default=3, db_default=3, help_text="Times held from one network at once: a household has few machines."
    )
    visits_per_owner = models.PositiveSmallIntegerField(
        default=2, db_default=2, help_text="Visits to come with one mail address or telephone number."
    )
    most_unconfirmed = models.PositiveSmallIntegerField(
        default=10, db_default=10, help_text="Online bookings that wait to be confirmed: as many as a desk can ring."
    )
    most_online_an_hour = models.PositiveSmallIntegerField(
        default=20, db_default=20, help_text="Online bookings in an hour: two weeks of one roller."
    )
    bookable_days = models.PositiveSmallIntegerField(default=42, help_text="How many days ahead can be booked.")
    notice_minutes = models.PositiveSmallIntegerField(default=120, help_text="Least notice for an online booking.")
    # Messages: when none goes out, and what a telephone number without a country's code belongs to.
    quiet_from = models.TimeField(default=time(20), db_default=time(20))
    quiet_until = models.TimeField(default=time(8), db_default=time(8))
    ask_again_hours = models.PositiveSmallIntegerField(
        default=24, db_default=24, help_text="On open days, until an owner is reminded of what was asked; 0: never."
    )
    invoice_due_days = models.PositiveSmallIntegerField(default=14, db_default=14)
    calling_code = models.CharField(max_length=3, default="44", db_default="44", blank=True)
    keeps_clip_originals = models.BooleanField(
        default=False, db_default=False, help_text="Else a clip's sound alone is kept once it was heard."
    )
    is_open = models.BooleanField(
        default=True, db_default=True, help_text="Not while the boss is still setting up a new garage."
    )
    wall_generation = models.PositiveIntegerField(
        default=1, db_default=1, help_text="Of the wall's secret address: a higher one ends those before."
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(id=1), name="one_shop"),
            within(
                vat_percent=PER_CENT,
                labour_per_hour=POUNDS,
                bench_limit_pounds=(0, MOST_POUNDS),
                slot_lost_pence=(0, MOST_PENCE),
                bench_check_pence=(0, MOST_PENCE),
                call_pence=(0, MOST_PENCE),
                bench_minute_pence=(0, MOST_PENCE),
                stopped_in_time_pence=(0, MOST_PENCE),
            ),
        ]

    @property
    def local_time(self) -> LocalTime:
        """The garage's wall clock."""
        return LocalTime.named(self.zone)

    @property
    def late_words(self) -> str:
        """As in "less than a day before"."""
        return late_words(self.late_hours)

    @property
    def quiet_hours(self) -> QuietHours:
        return QuietHours(minute_of(self.quiet_from), minute_of(self.quiet_until))

    @property
    def address_line(self) -> str:
        """The address in one line, separated by commas."""
        return ", ".join(line.strip().rstrip(",") for line in self.address.splitlines() if line.strip())


class OpeningHours(models.Model):
    weekday = models.PositiveSmallIntegerField(help_text="0 is Monday.")
    opens = models.TimeField()
    closes = models.TimeField()
    # The rollers may run shorter hours than the garage (core/time/roller_hours.py).
    rollers_from = models.TimeField(null=True, blank=True, help_text="Empty: from when the garage opens.")
    rollers_until = models.TimeField(null=True, blank=True, help_text="Empty: until it closes.")
    has_rollers = models.BooleanField(default=True, db_default=True, help_text="Whether they run on that weekday.")

    class Meta:
        ordering = ["weekday"]
        constraints = [
            models.UniqueConstraint(fields=["weekday"], name="one_opening_a_weekday"),
            models.CheckConstraint(condition=Q(closes__gt=models.F("opens")), name="closes_after_it_opens"),
        ]

    @property
    def hours(self) -> Hours:
        return Hours(self.opens, self.closes, RollerHours(self.rollers_from, self.rollers_until, self.has_rollers))


class KeptTime(models.Model):
    """Minutes that nobody books online, by weekday: at the bench for fix-first, on the rollers for what is here."""

    weekday = models.PositiveSmallIntegerField(help_text="0 is Monday.")
    at = models.CharField(max_length=6, choices=PLACE_KINDS)
    minutes = models.PositiveIntegerField()

    class Meta:
        ordering = ["weekday", "at"]
        constraints = [models.UniqueConstraint(fields=["weekday", "at"], name="one_kept_time_a_weekday_and_place")]


class ClosedDay(models.Model):
    """A day closed besides Sundays and bank holidays, or (open_after_all) a holiday that is worked."""

    day = models.DateField(unique=True)
    why = models.CharField(max_length=80)
    open_after_all = models.BooleanField(default=False)

    class Meta:
        ordering = ["day"]


class Station(models.Model):
    kind = models.CharField(max_length=6, choices=PLACE_KINDS)
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=40)
    feed_generation = models.PositiveIntegerField(
        default=1, db_default=1, help_text="Of the secret address of its calendar: a higher one ends those before."
    )

    class Meta:
        ordering = ["kind", "number"]
        constraints = [models.UniqueConstraint(fields=["kind", "number"], name="one_station_a_number")]


class VisitKind(models.Model):
    SET_UP, POWER_RUN, BENCH_CHECK = "set-up", "power-run", "bench"

    slug = models.SlugField(unique=True)
    booked_as = models.CharField(
        max_length=10,
        choices=[(SET_UP, "set-up"), (POWER_RUN, "power run"), (BENCH_CHECK, "bench check")],
        help_text="How the judgement treats it.",
    )
    name = models.CharField(max_length=40)
    goes_home_with = models.CharField(max_length=140, help_text="One line: what the owner goes home with.")
    at = models.CharField(max_length=6, choices=PLACE_KINDS)
    minutes = models.PositiveSmallIntegerField(help_text="At that place.")
    price = models.DecimalField(max_digits=8, decimal_places=2, help_text="Pounds, VAT included.")
    deposit = models.DecimalField(max_digits=8, decimal_places=2, default=Decimal(0))
    order = models.PositiveSmallIntegerField(default=0)
    is_offered = models.BooleanField(default=True)

    class Meta:
        ordering = ["order", "id"]
        constraints = [within(price=POUNDS, deposit=POUNDS)]

    def __str__(self) -> str:
        return self.name
