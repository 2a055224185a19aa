"""Clips of the rev-out: the sound in private media, and what was heard in it."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, UNCLEAR
from diagnostics.hearing.core.heard import Heard, from_json
from garage.models.visits import Visit


class Clip(models.Model):
    """by none: the owner sent it. result: what was heard, as hearing/core/heard.py writes it."""

    WAITS, WORKING, HEARD, NOT_HEARD = "waits", "working", "heard", "not-heard"
    VERDICTS = ((REVS_OUT, "revs out"), (BREAKS_DOWN, "breaks down"), (UNCLEAR, "unclear"))

    visit = models.ForeignKey(Visit, models.CASCADE, related_name="clips")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    file = models.FileField(upload_to="clips/%Y/%m", max_length=120, help_text="Under a random name.")
    name = models.CharField(max_length=120, help_text="As sent, without what cannot be printed.")
    size_bytes = models.PositiveBigIntegerField()
    digest = models.CharField(max_length=64, help_text="SHA-256 of the file: the same one sent twice is one clip.")
    state = models.CharField(
        max_length=10,
        default=WAITS,
        choices=[(WAITS, "waits"), (WORKING, "being heard"), (HEARD, "heard"), (NOT_HEARD, "cannot be heard")],
    )
    begun_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    heard_at = models.DateTimeField(null=True, blank=True)
    result = models.JSONField(null=True, blank=True)
    trouble = models.CharField(max_length=400, blank=True, help_text="Why it cannot be heard.")
    own_verdict = models.CharField(max_length=12, blank=True, choices=VERDICTS, help_text="A person's: it wins.")
    own_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    own_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        db_table = "diagnostics_clip"  # it was made in the room before this flat was one
        ordering = ["-at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["visit", "digest"], name="the_same_clip_once"),
            models.CheckConstraint(condition=~Q(state="heard") | Q(result__isnull=False), name="heard_is_something"),
            models.CheckConstraint(
                condition=Q(own_verdict="", own_by=None) | ~Q(own_verdict="") & Q(own_by__isnull=False),
                name="a_verdict_has_its_giver",
            ),
        ]
        indexes = [models.Index(fields=["at"], condition=Q(state__in=["waits", "working"]), name="clips_to_hear")]

    @property
    def heard(self) -> Heard | None:
        """None before it was heard, and where it cannot be."""
        return from_json(self.result) if self.result else None

    @property
    def verdict(self) -> str:
        """The one that counts: a person's before the heard one; empty before there is any."""
        heard = self.heard
        return self.own_verdict or (heard.verdict if heard else "")
