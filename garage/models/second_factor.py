"""The second factor of a log-in, and its spare codes."""

from django.db import models

from garage.models.people import Person


class SecondFactor(models.Model):
    """The secret is not kept: it is made of this seed and the key (garage/core/letting_in/one_time_codes.py)."""

    person = models.OneToOneField(Person, models.CASCADE, related_name="second_factor")
    seed = models.CharField(max_length=64)
    key_mark = models.CharField(max_length=16, help_text="Which of the garage's keys: a keyed hash of nothing.")
    since = models.DateTimeField()
    last_step = models.BigIntegerField(help_text="Of the last code taken, in half minutes since 1970: it counts once.")


class SpareCode(models.Model):
    factor = models.ForeignKey(SecondFactor, models.CASCADE, related_name="spares")
    number = models.PositiveSmallIntegerField()
    hashed = models.CharField(max_length=128, help_text="As a password is.")
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["factor", "number"], name="one_spare_code_a_number")]
