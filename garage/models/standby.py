"""Owners who would come sooner, times given back, and the offers of those times. A time on offer is held by a Hold."""

from datetime import datetime

from django.db import models

from garage.core.text.languages import told, told_later
from garage.models.bounds import POUNDS, within
from garage.models.shop import PLACE_KINDS
from garage.models.visits import Hold, Visit


class Standby(models.Model):
    """Its owner asks for an earlier time if one comes free. Visits without a time stand by without a row."""

    visit = models.OneToOneField(Visit, models.CASCADE, related_name="standby")
    asked_at = models.DateTimeField()
    notice_hours = models.PositiveSmallIntegerField(help_text="That the owner needs to come.")
    weekdays = models.CharField(max_length=7, help_text="Days that suit, such as 0124; 0 is Monday.")


class FreedTime(models.Model):
    """A time that was given back, whatever became of it afterwards."""

    CALLED_OFF, BY_US, MOVED, FIX_FIRST, NO_SHOW = "called-off", "by-us", "moved", "fix-first", "no-show"
    EARLY = "early"
    WHY = (
        (CALLED_OFF, "called off"),
        (BY_US, "put off by us"),
        (MOVED, "moved"),
        (FIX_FIRST, "to be put right first"),
        (NO_SHOW, "did not come"),
        (EARLY, "finished early"),
    )

    at = models.CharField(max_length=6, choices=PLACE_KINDS)
    place = models.PositiveSmallIntegerField(help_text="The n-th of its kind that day, as it was sold.")
    starts_at = models.DateTimeField()
    minutes = models.PositiveSmallIntegerField()
    visit = models.ForeignKey(Visit, models.PROTECT, related_name="freed_times", help_text="Whose it was.")
    why = models.CharField(max_length=10, choices=WHY)
    price = models.DecimalField(max_digits=8, decimal_places=2, help_text="Of the visit that gave it back, in pounds.")
    freed_at = models.DateTimeField()
    kept_from = models.DateTimeField(
        null=True, blank=True, help_text="Kept again, for a machine that was not through its gate when it came free."
    )
    # While it is kept for standby. Once closed it is on sale to everybody, or taken.
    hold = models.OneToOneField(Hold, models.SET_NULL, null=True, blank=True, related_name="freed_time")
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["starts_at", "id"]
        indexes = [models.Index(fields=["closed_at"]), models.Index(fields=["starts_at"])]
        constraints = [within(price=POUNDS)]


class Offer(models.Model):
    """A freed time held out to one owner for a while. The first yes has it. Of a machine in the building its owner is
    asked whether the work may go on, or it is given the time, since its owner has agreed or waits for it.
    """

    YES, NO, LAPSED, GONE, GIVEN = "yes", "no", "lapsed", "gone", "given"
    ANSWERS = (
        (YES, told_later("taken")),
        (NO, told_later("not wanted")),
        (LAPSED, told_later("no answer in time")),
        (GONE, told_later("somebody else was sooner")),
        (GIVEN, told_later("given without being asked")),
    )

    time = models.ForeignKey(FreedTime, models.CASCADE, related_name="offers")
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="offers")
    in_the_building = models.BooleanField(default=False, db_default=False)
    offered_at = models.DateTimeField()
    open_until = models.DateTimeField()
    answer = models.CharField(max_length=6, choices=ANSWERS, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["offered_at", "id"]
        constraints = [models.UniqueConstraint(fields=["time", "visit"], name="offered_once")]

    @property
    def answer_words(self) -> str:
        return told(dict(self.ANSWERS)[self.answer]) if self.answer else ""

    def is_open(self, now: datetime) -> bool:
        return not self.answer and self.open_until > now
