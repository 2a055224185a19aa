"""What was judged and learned stays as it was: the database itself refuses to change it."""

from django.db import migrations

from garage.models.triggers import refuse_changes

CLOSING = "A closed card is never closed anew: only once it may be marked that its machine came back."
LEARNED = "Counts once learned are never changed: new ones are written."
JUDGEMENT = "A judgement is never changed: a new one is made."

ONLY_A_COME_BACK = (
    "OLD.came_back_at IS NOT NULL OR NEW.came_back_at IS NULL OR NEW.id <> OLD.id "
    "OR NEW.visit_id <> OLD.visit_id OR NEW.at <> OLD.at OR NEW.by_id <> OLD.by_id"
)


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0004_bench_outcomes")]

    operations = [
        *refuse_changes("diagnostics_closing", when=ONLY_A_COME_BACK, message=CLOSING, changes=["UPDATE"]),
        *refuse_changes("diagnostics_closing", message=CLOSING, changes=["DELETE"]),
        *refuse_changes("diagnostics_learned", message=LEARNED),
        *refuse_changes("diagnostics_judgement", message=JUDGEMENT, changes=["UPDATE"]),
    ]
