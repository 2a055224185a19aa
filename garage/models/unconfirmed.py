"""Online bookings that nobody has confirmed yet. The row goes once the visit stands."""

from django.db import models

from garage.models.visits import Visit


class Unconfirmed(models.Model):
    """Beside a visit that is held, or has lapsed and can be taken again."""

    visit = models.OneToOneField(Visit, models.CASCADE, related_name="unconfirmed")
    starts_at = models.DateTimeField(help_text="The time that it is held for, or was.")
    until = models.DateTimeField(help_text="Then it lapses.")
    address_key = models.CharField(
        max_length=64, blank=True, help_text="Keyed hash of the network it was booked from; empty once it has lapsed."
    )

    class Meta:
        indexes = [models.Index(fields=["until"]), models.Index(fields=["address_key"])]
