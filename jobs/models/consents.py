"""What an owner was asked beside what was agreed, word for word, with the answer; who let an invoice go above it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from garage.models.bounds import POUNDS, within
from garage.models.visits import Visit

PERSON = settings.AUTH_USER_MODEL


class Consent(models.Model):
    """Extra work at a price that an owner was asked about, as it was shown. It is never changed but answered once."""

    YES, NO, LAPSED = "yes", "no", "lapsed"
    never_taken_out = ("answer",)

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="consents")
    words = models.TextField(help_text="What was asked, as it was shown.")
    price = models.DecimalField(max_digits=8, decimal_places=2, help_text="Pounds, VAT included.")
    photos = models.JSONField(default=list, blank=True, help_text="Shown with it: id, sha256 of the file, words.")
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(PERSON, models.PROTECT, related_name="+")
    replaces = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="replaced_by", help_text="Asked at another price."
    )
    answer = models.CharField(
        max_length=6, blank=True, default="", choices=[(YES, "yes"), (NO, "no"), (LAPSED, "lapsed")]
    )
    answered_at = models.DateTimeField(null=True, blank=True, help_text="On the telephone: when it was said.")
    heard_by = models.ForeignKey(
        PERSON, models.PROTECT, null=True, blank=True, related_name="+", help_text="On the telephone: who heard it."
    )

    class Meta:
        ordering = ["asked_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(answer="", answered_at=None, heard_by=None) | ~Q(answer="") & Q(answered_at__isnull=False),
                name="an_answer_has_a_time",
            ),
            within(price=POUNDS),
        ]

    @property
    def is_replaced(self) -> bool:
        return hasattr(self, "replaced_by")


class AskedAgain(models.Model):
    """An owner was reminded of a request: once, so one row each."""

    consent = models.OneToOneField(Consent, models.PROTECT, related_name="asked_again")
    at = models.DateTimeField()


class AboveAgreed(models.Model):
    """A person let the invoice of a visit come to more than its owner agreed to. Never changed."""

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="above_agreed")
    up_to = models.DecimalField(
        max_digits=8, decimal_places=2, help_text="Pounds besides the booked session, VAT included."
    )
    why = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(PERSON, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        constraints = [within(up_to=POUNDS)]
