"""Database triggers that refuse changes to rows that must not change, for the migrations of any room.

Use, in a migration of its own after the table exists:

    operations = refuse_changes(
        "jobs_invoice",
        when="OLD.issued_at IS NOT NULL",
        message="An issued invoice is never changed: write a credit note.",
    )

Both databases then raise django.db.IntegrityError with the message in its text. SQLite rebuilds a table when a later
migration alters it, and drops its triggers with the old one: repeat the operations after such a migration. The room's
test of its triggers fails if this is forgotten.
"""

from collections.abc import Callable, Sequence

from django.apps.registry import Apps
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from garage.models.lazy_migration import RunPythonLazily

CHANGES = ("UPDATE", "DELETE")


def refuse_changes(
    table: str, *, message: str, when: str = "", changes: Sequence[str] = CHANGES
) -> list[RunPythonLazily]:
    """Reversible operations after which the named changes of the table's rows are refused.

    table: its name in the database. message: one sentence. when: a condition in SQL that both databases know, on OLD
    (and NEW for INSERT or UPDATE). If empty, every change is refused. changes: some of "INSERT", "UPDATE", "DELETE".
    """
    return [RunPythonLazily(_creates(table, change, when, message), _drops(table, change)) for change in changes]


def allow_changes(
    table: str, *, message: str, when: str = "", changes: Sequence[str] = CHANGES
) -> list[RunPythonLazily]:
    """Undoes refuse_changes, for a migration that rewrites rows. End that migration with refuse_changes again."""
    return [RunPythonLazily(_drops(table, change), _creates(table, change, when, message)) for change in changes]


def refuse_but_to_forget(table: str, *, stays: Sequence[str], message: str, when: str = "") -> list[RunPythonLazily]:
    """As refuse_changes for UPDATE, but within a transaction that forgets (garage/models/forgetting.py) columns may
    change, all but those that stay. Undo the earlier refusal first, with allow_changes.
    """
    return [RunPythonLazily(_creates_but_to_forget(table, stays, when, message), _drops(table, "UPDATE"))]


def _creates_but_to_forget(
    table: str, stays: Sequence[str], when: str, message: str
) -> Callable[[Apps, BaseDatabaseSchemaEditor], None]:
    name, said = _name(table, "UPDATE"), message.replace("'", "''")
    nobody_forgets = "NOT EXISTS (SELECT 1 FROM garage_forgetting WHERE done_at IS NULL)"

    def condition(differs: str) -> str:
        moved = " OR ".join(f'NEW."{column}" {differs} OLD."{column}"' for column in stays)
        return f"({when or '1 = 1'}) AND ({moved} OR {nobody_forgets})"

    sqlite = [
        f'CREATE TRIGGER "{name}" BEFORE UPDATE ON "{table}" FOR EACH ROW WHEN {condition("IS NOT")} '
        f"BEGIN SELECT RAISE(ABORT, '{said}'); END"
    ]
    postgresql = [  # a trigger's WHEN may not look into another table there
        f'CREATE OR REPLACE FUNCTION "{name}"() RETURNS trigger LANGUAGE plpgsql AS $$ '
        f"BEGIN IF {condition('IS DISTINCT FROM')} THEN "
        f"RAISE EXCEPTION USING MESSAGE = '{said}', ERRCODE = 'restrict_violation'; END IF; RETURN NEW; END $$",
        f'CREATE TRIGGER "{name}" BEFORE UPDATE ON "{table}" FOR EACH ROW EXECUTE FUNCTION "{name}"()',
    ]
    return _runs(sqlite=sqlite, postgresql=postgresql)


def _name(table: str, change: str) -> str:
    return f"{table}_refuses_{change.lower()}"


def _creates(table: str, change: str, when: str, message: str) -> Callable[[Apps, BaseDatabaseSchemaEditor], None]:
    name, said = _name(table, change), message.replace("'", "''")
    condition = f"WHEN ({when})" if when else ""
    sqlite = [
        f'CREATE TRIGGER "{name}" BEFORE {change} ON "{table}" FOR EACH ROW {condition} '
        f"BEGIN SELECT RAISE(ABORT, '{said}'); END"
    ]
    postgresql = [
        f'CREATE OR REPLACE FUNCTION "{name}"() RETURNS trigger LANGUAGE plpgsql AS $$ '
        f"BEGIN RAISE EXCEPTION USING MESSAGE = '{said}', ERRCODE = 'restrict_violation'; END $$",
        f'CREATE TRIGGER "{name}" BEFORE {change} ON "{table}" FOR EACH ROW {condition} EXECUTE FUNCTION "{name}"()',
    ]
    return _runs(sqlite=sqlite, postgresql=postgresql)


def _drops(table: str, change: str) -> Callable[[Apps, BaseDatabaseSchemaEditor], None]:
    name = _name(table, change)
    return _runs(
        sqlite=[f'DROP TRIGGER IF EXISTS "{name}"'],
        postgresql=[f'DROP TRIGGER IF EXISTS "{name}" ON "{table}"', f'DROP FUNCTION IF EXISTS "{name}"()'],
    )


def _runs(**statements: Sequence[str]) -> Callable[[Apps, BaseDatabaseSchemaEditor], None]:
    def run(_apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
        for statement in statements[schema_editor.connection.vendor]:
            schema_editor.execute(statement, params=None)

    return run
