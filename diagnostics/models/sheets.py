"""The check sheet of a visit and its findings, each with who gave it and when."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from garage.models.visits import Visit


class Sheet(models.Model):
    TICKS = ("leaks_petrol", "not_run_in", "no_exhaust", "brakes_or_tyres", "is_automatic")

    visit = models.OneToOneField(Visit, models.CASCADE, related_name="sheet")
    begun_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True, help_text="The owner said: finished.")
    # Ticks on the rev-out page: remarks for judgement, take-in and gate. All but the brakes rule out the test.
    leaks_petrol = models.BooleanField(default=False)
    not_run_in = models.BooleanField(default=False)
    no_exhaust = models.BooleanField(default=False)
    brakes_or_tyres = models.BooleanField(default=False, db_default=False)
    is_automatic = models.BooleanField(default=False, help_text="The owner's word, where its kind is not known.")


class RemarkPutRight(models.Model):
    """The workshop's word on a remark: found and put right. The owner's tick stays beside it."""

    visit = models.ForeignKey(Visit, models.CASCADE, related_name="remarks_put_right")
    remark = models.CharField(max_length=20, help_text="As in the manual of assess: leaks-petrol …")
    words = models.CharField(max_length=200, help_text="What was done.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "id"]
        constraints = [models.UniqueConstraint(fields=["visit", "remark"], name="a_remark_is_put_right_once")]


class Finding(models.Model):
    """One answer or reading. A new answer to the same question replaces the current one; the old row is kept."""

    OWNER, WORKSHOP, CLIP = "owner", "workshop", "clip"
    UNSURE, NOT_TRIED = "unsure", "not-tried"

    visit = models.ForeignKey(Visit, models.CASCADE, related_name="findings")
    question = models.CharField(max_length=40)
    answer = models.JSONField(help_text="Answer id, list of ids, a number, 'unsure' or 'not-tried'.")
    source = models.CharField(
        max_length=8, choices=[(OWNER, "the owner"), (WORKSHOP, "the workshop"), (CLIP, "the clip")]
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField()
    is_standing = models.BooleanField(default=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["visit", "question"], condition=Q(is_standing=True), name="one_standing_finding"
            )
        ]
