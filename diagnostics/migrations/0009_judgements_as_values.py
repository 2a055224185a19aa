"""Judgements are kept as values: what decided the route is a kind with its figures, no longer a sentence to be read.

The row has a name of its own in Python; its table keeps its name, so code that still serves meanwhile finds it, and
judges as before. Only its page of the findings cannot show the rows in their new shape.
"""

import re
from collections.abc import Mapping
from typing import Any

from django.apps.registry import Apps
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from garage.models.triggers import allow_changes, refuse_changes

JUDGEMENT = "A judgement is never changed: a new one is made."
AT_ONCE = 200  # rows written together

# What assess wrote until now. It is read here for the last time.
RICH = re.compile(r"Merely rich \(chance (\d+)%\): (that is what a set-up is for|offer a set-up)")
CHEAPEST = re.compile(r"[A-Z][a-z -]+ is (\d+) pence cheaper than ")
STOPPED = "Do not run it before the bench has looked: "
UNLESS = ", unless it is made to advance."
CAUTIONS = {
    "Do not hold it at full throttle, on the road or on the rollers, and do not ride it hard, until the bench has "
    "looked: bring it on a trailer or in a van.": "stopped",
    "Drain the petrol and fill fresh with the right oil in it before it runs again; cold, outdoors, no flame about.": (
        "drain"
    ),
    "Do not run it before flywheel and key have been looked at: a flywheel that has moved can come off.": "flywheel",
    "Do not fit smaller jets before the ignition is put right: a lean engine seizes.": "no-smaller-jets",
    "Look at choke, float and air filter before a jet is changed.": "rich-otherwise",
    "A limiter would sound the same as this ceiling: what speed the machine holds on the stand by itself is not "
    "known.": "limiter",
    "No neutral: the rev-out is the workshop's to do, drive belt off or wheel clear, guarded and short.": "automatic",
    "These rules were made for two-strokes: take them on this four-stroke as a hint only.": "four-stroke",
}


def as_values(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    rows = apps.get_model("diagnostics", "KeptJudgement").objects
    ids = list(rows.order_by("pk").values_list("pk", flat=True))
    for first in range(0, len(ids), AT_ONCE):
        old = [row for row in rows.filter(pk__in=ids[first : first + AT_ONCE]) if "version" not in row.result]
        for row in old:
            row.result = converted(row.result, row.edition)
        rows.bulk_update(old, ["result"])


def converted(old: Mapping[str, Any], edition: str) -> dict[str, Any]:
    """What a row kept until now, in the shape of version 1."""
    also = old["also"]
    return {
        "version": 1,
        "case": old["case"],
        "edition": edition,
        "route": old["route"],
        "why": _why(old),
        "chances": old["chances"],
        "groups": old["groups"],
        "because": old["because"],
        "ask_next": old["ask_next"],
        "bench_order": old["bench_order"],
        "expected_bench_minutes": old["expected_bench_minutes"],
        "cautions": [CAUTIONS[sentence] for sentence in old["cautions"] if sentence in CAUTIONS],
        "spoilt_chance": 1 - also["ready_chance"],
        "route_costs_pence": also["route_costs_pence"],
    }


def _why(old: Mapping[str, Any]) -> dict[str, Any]:
    also, sentence = old["also"], old["why"]
    if sentence.startswith(STOPPED):
        unless = sentence.endswith(UNLESS)
        return {"kind": "stopped", "findings": also["fired"], "unless_made_to_advance": unless}
    rich = RICH.match(sentence)
    if rich:
        kind = "rich-set-up" if rich[2].startswith("that") else "rich-power-run"
        return {"kind": kind, "chance": int(rich[1]) / 100}
    if CHEAPEST.match(sentence):
        costs = {route: pence for route, pence in also["route_costs_pence"].items() if route != old["route"]}
        return {
            "kind": "cheapest",
            "by_pence": also["cheaper_by_pence"],
            "next_route": min(costs, key=costs.__getitem__),
        }
    return {"kind": "booked-for-the-bench"}


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0008_come_backs_are_kept")]

    operations = [
        migrations.AlterModelTable("Judgement", "diagnostics_judgement"),
        migrations.RenameModel("Judgement", "KeptJudgement"),
        migrations.AlterField(
            "KeptJudgement",
            "result",
            models.JSONField(help_text="The judgement, as core/judging/judgement_json.py keeps it."),
        ),
        *allow_changes("diagnostics_judgement", message=JUDGEMENT, changes=["UPDATE"]),
        migrations.RunPython(as_values, migrations.RunPython.noop),
        *refuse_changes("diagnostics_judgement", message=JUDGEMENT, changes=["UPDATE"]),
    ]
