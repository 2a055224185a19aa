"""Who works here: log-in, role, skills and hours."""

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import F, Q

from garage.core.menu import Menu, menu_of
from garage.core.shown_round import StopOnTheRound, round_of


class Person(AbstractUser):
    BOSS, FRONT_DESK, MECHANIC = "boss", "front-desk", "mechanic"

    role = models.CharField(
        max_length=10, choices=[(BOSS, "boss"), (FRONT_DESK, "front desk"), (MECHANIC, "mechanic")], default=MECHANIC
    )
    does_bench = models.BooleanField(default=True)
    does_rollers = models.BooleanField(default=False)
    feed_generation = models.PositiveIntegerField(
        default=1, db_default=1, help_text="Of the secret address of their calendar: a higher one ends those before."
    )
    was_shown_round = models.BooleanField(
        default=False, db_default=False, help_text="They have put away the walk through their pages."
    )

    @property
    def name(self) -> str:
        return self.get_full_name() or self.username

    @property
    def is_boss(self) -> bool:
        return self.role == self.BOSS

    @property
    def handles_money(self) -> bool:
        return self.role in (self.BOSS, self.FRONT_DESK)

    @property
    def menu(self) -> Menu:
        return menu_of(self.role)

    @property
    def round(self) -> tuple[StopOnTheRound, ...]:
        return round_of(self.role)


class WorkingHours(models.Model):
    person = models.ForeignKey(Person, models.CASCADE, related_name="hours")
    weekday = models.PositiveSmallIntegerField(help_text="0 is Monday.")
    begins = models.TimeField()
    ends = models.TimeField()
    break_begins = models.TimeField(null=True, blank=True)
    break_ends = models.TimeField(null=True, blank=True)

    class Meta:
        ordering = ["person", "weekday"]
        constraints = [
            models.UniqueConstraint(fields=["person", "weekday"], name="one_working_day_a_weekday"),
            models.CheckConstraint(condition=Q(ends__gt=F("begins")), name="work_ends_after_it_begins"),
        ]


class Away(models.Model):
    person = models.ForeignKey(Person, models.CASCADE, related_name="away")
    first_day = models.DateField()
    last_day = models.DateField()
    why = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first_day"]
        constraints = [
            models.CheckConstraint(condition=Q(last_day__gte=F("first_day")), name="away_ends_after_it_begins")
        ]
