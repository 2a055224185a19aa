"""The rev-out's answer `bounces` is called `ceiling`: findings, gates and judgements that stand take the new name.

Nothing else of the bank has changed, so what was judged keeps its figures and its edition.
"""

from typing import Any

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from garage.models.triggers import allow_changes, refuse_changes

JUDGEMENT = "A judgement is never changed: a new one is made."
QUESTION = "rev_out"
BEFORE, NOW = "bounces", "ceiling"
AT_ONCE = 200  # rows written together


def renamed(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    rows = {name: apps.get_model("diagnostics", name).objects for name in ("Finding", "Gate", "KeptJudgement")}
    rows["Finding"].filter(question=QUESTION, answer=BEFORE).update(answer=NOW)
    rows["Gate"].filter(rev_out=BEFORE).update(rev_out=NOW)
    judgements = rows["KeptJudgement"]
    ids = list(judgements.filter(**{f"case__answers__{QUESTION}": BEFORE}).values_list("pk", flat=True))
    for first in range(0, len(ids), AT_ONCE):
        some = list(judgements.filter(pk__in=ids[first : first + AT_ONCE]))
        for row in some:
            row.case["answers"][QUESTION] = NOW
            row.result["because"] = [_renamed_reason(reason) for reason in row.result["because"]]
        judgements.bulk_update(some, ["case", "result"])


def _renamed_reason(reason: dict[str, Any]) -> dict[str, Any]:
    """Its answer stands alone, or with the clip's verdict: "rev_out=bounces+heard=breaks-down"."""
    parts = reason["answer"].split("+")
    answer = "+".join(f"{QUESTION}={NOW}" if part == f"{QUESTION}={BEFORE}" else part for part in parts)
    return reason | {"answer": answer}


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0009_judgements_as_values")]

    operations = [
        *allow_changes("diagnostics_judgement", message=JUDGEMENT, changes=["UPDATE"]),
        migrations.RunPython(renamed, migrations.RunPython.noop),
        *refuse_changes("diagnostics_judgement", message=JUDGEMENT, changes=["UPDATE"]),
    ]
