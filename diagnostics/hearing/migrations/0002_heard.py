"""What was heard is kept in version 1: its reason as a word, not a sentence, and not the clip's name once more."""

from typing import Any

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

REASONS = {
    "The engine gets to its speed and holds it.": "holds",
    "It skips turns evenly, as a rich engine does, but gets to its speed and holds it.": "holds-rich",
    "The clip is too short to hear a rev-out in it.": "short-clip",
    "No engine can be followed in this clip.": "no-engine",
    "The speed does not rise in this clip: the throttle was not opened, or it is not heard.": "no-rise",
    "The clip begins with the engine already revved up, so the opening is not heard.": "begins-late",
    "The throttle is held open for less than a second, which is too short to tell.": "short-hold",
    "What is heard jumps about as no engine can, so firing cannot be followed.": "jumps",
    "The sound does not swell as an opened throttle does, so it may be no rev-out.": "no-swell",
    "Firing cannot be followed well enough through noise or distortion.": "faint",
    "It could be a rev-out or a breakdown; the clip does not tell them apart.": "doubt",
}
BY_VERDICT = {"revs-out": "holds", "breaks-down": "fails", "unclear": "doubt"}  # a sentence of an older release


def converted(result: dict[str, Any]) -> dict[str, Any]:
    kept = {key: value for key, value in result.items() if key != "clip"}
    reason = REASONS.get(result["reason"], BY_VERDICT[result["verdict"]])
    return {"version": 1, **kept, "reason": reason, "outline": result.get("outline", [])}


def to_version_1(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    for clip in apps.get_model("hearing", "Clip").objects.exclude(result__isnull=True):
        if "version" not in clip.result:
            clip.result = converted(clip.result)
            clip.save(update_fields=["result"])


class Migration(migrations.Migration):
    dependencies = [("hearing", "0001_clip"), ("diagnostics", "0012_clips_live_in_the_hearing")]

    operations = [migrations.RunPython(to_version_1, migrations.RunPython.noop)]
