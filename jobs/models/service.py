"""What an owner is to be reminded of some months after the work."""

from django.conf import settings
from django.db import models

from garage.models.visits import Visit
from jobs.core.service import service_words


class ServiceReminder(models.Model):
    """That it went out stands in garage.models.reminders.Reminded, by its day."""

    visit = models.OneToOneField(Visit, models.CASCADE, related_name="service_reminder")
    what = models.CharField(max_length=100, help_text="What is to be done, as said to the owner.")
    after_km = models.PositiveIntegerField(null=True, blank=True)
    due_on = models.DateField(help_text="Local day on which the owner is written to.")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    @property
    def says(self) -> str:
        return service_words(self.what, self.after_km)
