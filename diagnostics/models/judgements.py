"""What the triage concluded, with all its inputs. A row is never changed; a new one is added."""

from collections.abc import Mapping

from django.conf import settings
from django.db import models

from diagnostics.core.findings import Costs
from diagnostics.core.judging.judgement import Judgement
from diagnostics.core.judging.judgement_json import from_json
from diagnostics.models.learning import Learned
from garage.models.visits import Visit


class KeptJudgement(models.Model):
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="judgements")
    at = models.DateTimeField()
    edition = models.CharField(max_length=40, help_text="Of the bank.")
    learned = models.ForeignKey(
        Learned,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="The shop's counts; none: the bank.",
    )
    case = models.JSONField(help_text="As given to assess: machine, booked, answers, heard, costs.")
    route = models.CharField(max_length=12)
    result = models.JSONField(help_text="The judgement, as core/judging/judgement_json.py keeps it.")

    class Meta:
        db_table = "diagnostics_judgement"
        ordering = ["-at", "-id"]

    @property
    def judgement(self) -> Judgement:
        return from_json(self.result)

    @property
    def costs(self) -> Costs:
        """The shop's costs on that day."""
        return Costs(**self.case["costs"])

    @property
    def answers(self) -> Mapping[str, object]:
        """Question id to the answer as recorded, `unsure` included."""
        answers: Mapping[str, object] = self.case["answers"]
        return answers


class Acted(models.Model):
    """A judgement that was acted on, or set aside by a named person."""

    judgement = models.OneToOneField(KeptJudgement, models.CASCADE, related_name="acted")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    route = models.CharField(max_length=12, help_text="The route taken: the judged one, or another by a person's word.")
    why = models.CharField(max_length=200, blank=True)
