"""What a closed visit taught, once all that names its owner is gone."""

from django.db import models


class UnnamedCase(models.Model):
    """Without visit, machine, owner and date. A row is never changed. case, result: as a kept judgement has them."""

    booked = models.CharField(max_length=10)
    roller_minutes = models.PositiveSmallIntegerField()
    ran = models.BooleanField()
    taken = models.CharField(max_length=12, blank=True, help_text="The route acted on before it came in.")
    causes = models.JSONField(help_text="Fault ids.")
    has_own_words = models.BooleanField()
    came_back = models.BooleanField()
    case = models.JSONField(help_text="As given to assess, without its number.")
    result = models.JSONField(null=True, blank=True, help_text="Empty: it was not judged before it came in.")

    class Meta:
        ordering = ["id"]
