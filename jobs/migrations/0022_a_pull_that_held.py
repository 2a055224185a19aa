"""Whether a run held under load, which a smaller main jet asks for. It stays with the run."""

from django.db import migrations, models

from garage.models.triggers import allow_changes, refuse_but_to_forget

MESSAGE = "A run is never changed: strike it out and import it again."
STAYS = ["id", "visit_id", "file_id", "day", "letter", "how", "lost_w", "curve", "air", "standard", "at"]
ONCE_STRUCK = "OLD.struck_at IS NOT NULL OR NEW.struck_at IS NULL"


class Migration(migrations.Migration):
    dependencies = [("jobs", "0021_chain_of_what_stands")]

    operations = [
        *allow_changes("jobs_run", message=MESSAGE, when=ONCE_STRUCK, changes=("UPDATE",)),
        migrations.AddField(
            model_name="run",
            name="pulled_clean",
            field=models.BooleanField(
                blank=True,
                help_text="It did not break down or misfire under load. Empty: nobody said.",
                null=True,
            ),
        ),
        *refuse_but_to_forget("jobs_run", stays=[*STAYS, "pulled_clean"], when=ONCE_STRUCK, message=MESSAGE),
    ]
