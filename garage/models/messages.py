"""Messages: written in the transaction that causes them, sent afterwards."""

from django.conf import settings
from django.db import models

from garage.core.text.languages import ENGLISH
from garage.models.visits import Visit


class Message(models.Model):
    visit = models.ForeignKey(Visit, models.CASCADE, null=True, blank=True, related_name="messages")
    what = models.CharField(max_length=40, help_text="The folder of its templates: visit_booked, fresh_link …")
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField()
    language = models.CharField(max_length=2, default=ENGLISH, db_default=ENGLISH, help_text="Of whoever reads it.")
    written_at = models.DateTimeField()
    due_at = models.DateTimeField()
    sent_at = models.DateTimeField(
        null=True, blank=True, help_text="Handed to the mail server, or kept here if there is none."
    )
    kept_here = models.BooleanField(default=False, help_text="No mail server is set: read on the sent page only.")
    tries = models.PositiveSmallIntegerField(default=0)
    in_hand = models.BooleanField(
        default=False, db_default=False, help_text="Claimed, and not marked yet: if its sender dies it stays so."
    )
    perhaps_twice = models.BooleanField(
        default=False, db_default=False, help_text="A sending of it was cut off, so that one may have arrived as well."
    )
    trouble = models.CharField(max_length=300, blank=True)
    bounced_at = models.DateTimeField(
        null=True, blank=True, help_text="A report came back that it was not delivered; the trouble says why."
    )
    told_at = models.DateTimeField(null=True, blank=True, help_text="Texted or rung instead.")
    told_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-written_at", "-id"]
        indexes = [models.Index(fields=["sent_at", "due_at"])]


class Enclosure(models.Model):
    """A file attached to a message: the calendar file, the invoice."""

    message = models.ForeignKey(Message, models.CASCADE, related_name="enclosures")
    name = models.CharField(max_length=80)
    content_type = models.CharField(max_length=80)
    content = models.BinaryField()
