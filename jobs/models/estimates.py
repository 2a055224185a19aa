"""Estimates: a price that an owner is told before the work, and the answer. Frozen once it is issued."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from garage.core.text.languages import told
from garage.models.bounds import POUNDS, within
from garage.models.owners import Machine
from garage.models.visits import Visit
from jobs.models.book import CURRENCY
from jobs.models.consents import Consent

PERSON = settings.AUTH_USER_MODEL


class Estimate(models.Model):
    """A draft until issued_at. From then on triggers let nothing be changed but what is written once: the visit it is
    for, the answer with its consent, that a later one replaces it, that it is withdrawn, that its lines are taken over.
    """

    YES, NO = "yes", "no"
    never_taken_out = ("answer", "currency", "sha256", "salt", "vat_by_rate")  # no owner's name
    emptied_by_erasing = {"salt": ""}  # the hash alone must not confirm a guessed name

    number = models.PositiveIntegerField(unique=True, null=True, blank=True, help_text="Of a series of its own: E.")
    machine = models.ForeignKey(Machine, models.PROTECT, related_name="estimates")
    visit = models.ForeignKey(Visit, models.PROTECT, null=True, blank=True, related_name="estimates")
    text = models.TextField(blank=True, help_text="What is to be done, and why.")
    lines = models.JSONField(default=list, help_text="As typed; once issued also what each comes to, as on an invoice.")
    valid_until = models.DateField()
    drafted_at = models.DateTimeField()
    drafted_by = models.ForeignKey(PERSON, models.PROTECT, related_name="+")
    issued_at = models.DateTimeField(null=True, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    issued_by = models.ForeignKey(PERSON, models.PROTECT, null=True, blank=True, related_name="+")
    seller = models.JSONField(default=dict)
    buyer = models.JSONField(default=dict)
    machine_words = models.CharField(max_length=120, blank=True)
    besides = models.CharField(max_length=120, blank=True, help_text="What is booked already, and is not in it.")
    net = models.DecimalField(max_digits=8, decimal_places=2, default=0)
    vat = models.DecimalField(max_digits=8, decimal_places=2, default=0)
    gross = models.DecimalField(max_digits=8, decimal_places=2, default=0)
    vat_by_rate = models.JSONField(default=list, help_text="[[percent, net, vat, category], …] as strings.")
    currency = models.CharField(max_length=3, default=CURRENCY)
    salt = models.CharField(max_length=32, blank=True)
    sha256 = models.CharField(max_length=64, blank=True, help_text="Of what it says, printed on it.")
    answer = models.CharField(max_length=3, blank=True, default="", choices=[(YES, "yes"), (NO, "no")])
    answered_at = models.DateTimeField(null=True, blank=True, help_text="On the telephone: when it was said.")
    heard_by = models.ForeignKey(
        PERSON, models.PROTECT, null=True, blank=True, related_name="+", help_text="On the telephone: who heard it."
    )
    consent = models.OneToOneField(Consent, models.PROTECT, null=True, blank=True, related_name="estimate")
    replaced_by = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="replaces")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    taken_over_at = models.DateTimeField(null=True, blank=True, help_text="Its lines are on card and invoice.")

    class Meta:
        ordering = ["-drafted_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(answer="", answered_at=None, heard_by=None) | ~Q(answer="") & Q(answered_at__isnull=False),
                name="an_estimates_answer_has_a_time",
            ),
            models.CheckConstraint(
                condition=Q(number=None, issued_at=None) | Q(number__isnull=False, issued_at__isnull=False),
                name="an_issued_estimate_has_a_number",
            ),
            models.UniqueConstraint(
                fields=["visit"], condition=Q(issued_at=None), name="one_draft_of_an_estimate_a_visit"
            ),
            models.UniqueConstraint(
                fields=["visit"],
                condition=Q(issued_at__isnull=False, answer="", replaced_by=None, withdrawn_at=None),
                name="one_open_estimate_a_visit",
            ),
            models.UniqueConstraint(
                fields=["visit"], condition=Q(answer="yes", replaced_by=None), name="one_agreed_estimate_a_visit"
            ),
            within(net=POUNDS, vat=POUNDS, gross=POUNDS),
        ]

    @property
    def title(self) -> str:
        return told("Estimate E{number}", number=self.number) if self.number else "Draft of an estimate"
