"""How the shop words its messages, and which reminder went out for which day: one row each, never two."""

from django.db import models

from garage.models.visits import Visit


class Wording(models.Model):
    """Of a message that the shop switched off or worded itself. Without a row it is as delivered."""

    what = models.CharField(max_length=40, unique=True)
    is_on = models.BooleanField(default=True)
    subject = models.CharField(max_length=150, blank=True, help_text="Empty: as delivered.")
    text = models.TextField(blank=True, help_text="Empty: as delivered.")


class Reminded(models.Model):
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="reminded")
    what = models.CharField(max_length=40)
    about = models.DateField(help_text="The local day that it reminds of.")
    at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["visit", "what", "about"], name="reminded_once")]
