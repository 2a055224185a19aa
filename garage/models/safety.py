"""What the workshop has told an owner about a machine's safety. Rows are added and never changed."""

from django.conf import settings
from django.db import models

from garage.core.text.languages import told, told_later
from garage.models.messages import Message
from garage.models.visits import Visit

MAIL, TELEPHONE, COUNTER = "mail", "telephone", "counter"
HOW_TOLD = [
    (COUNTER, told_later("at the counter")),
    (TELEPHONE, told_later("by telephone")),
    (MAIL, told_later("by email")),
]


class SafetyRemark(models.Model):
    visit = models.ForeignKey(Visit, models.PROTECT, related_name="safety_remarks")
    words = models.CharField(max_length=300)
    how = models.CharField(max_length=10, choices=HOW_TOLD)
    message = models.OneToOneField(Message, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]

    @property
    def how_words(self) -> str:
        return told(dict(HOW_TOLD)[self.how])

    @property
    def was_not_reached(self) -> bool:
        """The email came back, and nobody has told the owner by hand since."""
        message = self.message
        return message is not None and message.bounced_at is not None and message.told_at is None
