"""Trail and safety remarks may lose what names an owner, within a transaction that forgets, and nothing else."""

from django.db import migrations

from garage.models.triggers import allow_changes, refuse_but_to_forget

TRAIL = "The trail is only added to, never changed."
SAFETY = "What an owner was told about safety is never changed."


class Migration(migrations.Migration):
    dependencies = [("garage", "0041_forgetting"), ("garage", "0018_safety")]

    operations = [
        *allow_changes("garage_trailrow", message=TRAIL, changes=["UPDATE"]),
        *refuse_but_to_forget(
            "garage_trailrow", stays=["id", "at", "by_id", "by_words", "visit_id", "about"], message=TRAIL
        ),
        *allow_changes("garage_safetyremark", message=SAFETY, changes=["UPDATE"]),
        *refuse_but_to_forget(
            "garage_safetyremark", stays=["id", "visit_id", "how", "message_id", "at", "by_id"], message=SAFETY
        ),
    ]
