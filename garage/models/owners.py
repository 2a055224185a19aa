"""Owners, their machines, the machine kinds the shop knows, and the joining of duplicates."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from garage.core.machines.gearing import STAGE_BETWEEN
from garage.core.machines.measures import BETWEEN
from garage.core.text.languages import ENGLISH, LANGUAGES
from garage.models.bounds import Between, within

MEASURED: dict[str, Between] = {name: (least, most) for name, (_, least, most) in (BETWEEN | STAGE_BETWEEN).items()}


class Measures(models.Model):
    """What judgement and timing need to know of a machine. Empty means not known."""

    fires_per_turn = models.FloatField(
        null=True, blank=True, help_text="1 two-stroke single, 2 two-stroke twin (180°), 0.5 four-stroke single."
    )
    gearbox = models.CharField(max_length=10, blank=True, choices=[("geared", "geared"), ("automatic", "automatic")])
    ignition = models.CharField(max_length=12, blank=True, choices=[("electronic", "electronic"), ("points", "points")])
    fed_by = models.CharField(max_length=8, blank=True, choices=[("magneto", "magneto"), ("battery", "battery")])
    oiling = models.CharField(
        max_length=5,
        blank=True,
        default="",
        db_default="",
        choices=[("mixed", "mixed petrol"), ("pump", "a pump")],
    )
    tap = models.CharField(
        max_length=7, blank=True, default="", db_default="", choices=[("gravity", "gravity"), ("vacuum", "vacuum")]
    )
    stroke_mm = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    rod_mm = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    flywheel_mm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    spec_btdc = models.DecimalField(
        max_digits=4, decimal_places=1, null=True, blank=True, help_text="Degrees BTDC at tickover."
    )
    spec_curve = models.CharField(
        max_length=10, blank=True, choices=[("fixed", "fixed"), ("retarding", "retarding"), ("advancing", "advancing")]
    )
    curve_deg = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="The design's own change from tickover to peak.",
    )
    design_rpm = models.PositiveIntegerField(
        null=True, blank=True, help_text="What a healthy one reaches and holds on the stand."
    )

    primary_ratio = models.DecimalField(
        max_digits=6, decimal_places=3, null=True, blank=True, help_text="Crank turns for one of the gearbox."
    )
    gear_ratios = models.CharField(
        max_length=60, blank=True, default="", db_default="", help_text="First to top, with spaces between."
    )
    final_ratio = models.DecimalField(
        max_digits=6, decimal_places=3, null=True, blank=True, help_text="Gearbox turns for one of the wheel."
    )
    tyre = models.CharField(
        max_length=20, blank=True, default="", db_default="", help_text="Size, or mm that the wheel rolls in a turn."
    )

    class Meta:
        abstract = True


class MachineKind(Measures):
    make = models.CharField(max_length=40)
    model = models.CharField(max_length=40)
    first_year = models.PositiveSmallIntegerField(null=True, blank=True)
    last_year = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["make", "model", "first_year"]
        constraints = [
            models.UniqueConstraint(fields=["make", "model", "first_year"], name="one_machine_kind"),
            within(**MEASURED),
        ]

    def __str__(self) -> str:
        return f"{self.make} {self.model}"


class Owner(models.Model):
    name = models.CharField(max_length=80)
    email = models.EmailField()
    telephone = models.CharField(max_length=30)
    address = models.TextField(blank=True)
    first_seen_at = models.DateTimeField()
    joined_into = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="doubles")
    erased_at = models.DateTimeField(null=True, blank=True, help_text="Since when nothing names who it was.")
    is_business = models.BooleanField(
        default=False, db_default=False, help_text="Not a private person: other words when an invoice is late."
    )
    language = models.CharField(
        max_length=2,
        default=ENGLISH,
        db_default=ENGLISH,
        choices=list(LANGUAGES.items()),
        help_text="What its pages, mails and papers are in.",
    )
    no_service_at = models.DateTimeField(null=True, blank=True, help_text="Since when no service reminder is wanted.")

    class Meta:
        ordering = ["name", "id"]

    def __str__(self) -> str:
        return self.name


class Machine(Measures):
    owner = models.ForeignKey(Owner, models.PROTECT, related_name="machines", help_text="Who has it now.")
    kind = models.ForeignKey(MachineKind, models.PROTECT, null=True, blank=True, related_name="machines")
    words = models.CharField(max_length=80, help_text="As the owner calls it: make, model.")
    year = models.PositiveSmallIntegerField(null=True, blank=True)
    registration = models.CharField(max_length=20, blank=True)
    fitted = models.JSONField(default=dict, blank=True, help_text="What is fitted now, as the last cards say.")
    joined_into = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="doubles")

    class Meta:
        ordering = ["words", "id"]
        constraints = [within(**MEASURED)]

    def __str__(self) -> str:
        return self.words


class Join(models.Model):
    """Two records joined as one. It keeps which rows moved, so that it can be undone."""

    what = models.CharField(max_length=7, choices=[("owner", "owner"), ("machine", "machine")])
    kept_id = models.BigIntegerField()
    joined_id = models.BigIntegerField()
    moved = models.JSONField(help_text="{'visits': [ids], 'machines': [ids]}")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at"]
        constraints = [
            models.CheckConstraint(condition=~Q(kept_id=models.F("joined_id")), name="joined_with_another"),
            models.UniqueConstraint(fields=["what", "joined_id"], condition=Q(undone_at=None), name="joined_once"),
        ]
