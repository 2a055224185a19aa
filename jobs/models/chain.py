"""The chain of the book, and what was last found when it was looked through."""

from django.db import models

from jobs.models.book import Invoice


class ChainLink(models.Model):
    """A frozen document's place in its series' chain (jobs/core/documents/chain.py). Never changed; the salt goes with
    the words that it hides.
    """

    stays_in_the_book = True
    never_taken_out = ("series", "salt", "words_hash", "previous", "value")  # no owner's name

    invoice = models.OneToOneField(Invoice, models.PROTECT, related_name="link")
    series = models.CharField(max_length=12)
    salt = models.CharField(max_length=32, blank=True)
    words_hash = models.CharField(max_length=64)
    previous = models.CharField(max_length=64, help_text="The value before it.")
    value = models.CharField(max_length=64)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["series", "previous"], name="one_link_after_another"),
        ]


class BookCheck(models.Model):
    """The last look through the whole book: one row."""

    at = models.DateTimeField()
    documents = models.PositiveIntegerField()
    last_value = models.CharField(max_length=64, blank=True)
    faults = models.JSONField(default=list, help_text="A sentence each, the first few.")
    fault_count = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="one_book_check")]
