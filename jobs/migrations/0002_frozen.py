"""Issued invoices, their lines and payments stay as they are: the database itself refuses to change them."""

from collections.abc import Callable

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from garage.models.lazy_migration import RunPythonLazily
from garage.models.triggers import refuse_changes

INVOICE = "An issued invoice is frozen: it is never changed or deleted."
LINE = "A line of an invoice is never changed or deleted."
PAYMENT = "A payment is never changed or deleted: write another one against it."

# Only this one needs to look into another table, which a trigger's WHEN on PostgreSQL may not.
ADD = {
    "sqlite": [
        """
        CREATE TRIGGER jobs_invoiceline_refuses_more BEFORE INSERT ON jobs_invoiceline FOR EACH ROW
        WHEN (SELECT frozen_at FROM jobs_invoice WHERE id = NEW.invoice_id) IS NOT NULL
        BEGIN SELECT RAISE(ABORT, 'An issued invoice is frozen: no line is added to it.'); END
        """
    ],
    "postgresql": [
        """
        CREATE OR REPLACE FUNCTION jobs_invoiceline_refuses_more() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            IF (SELECT frozen_at FROM jobs_invoice WHERE id = NEW.invoice_id) IS NOT NULL THEN
                RAISE EXCEPTION USING MESSAGE = 'An issued invoice is frozen: no line is added to it.', ERRCODE = 'restrict_violation';
            END IF;
            RETURN NEW;
        END $$
        """,
        """
        CREATE TRIGGER jobs_invoiceline_refuses_more BEFORE INSERT ON jobs_invoiceline FOR EACH ROW
        EXECUTE FUNCTION jobs_invoiceline_refuses_more()
        """,
    ],
}
DROP = {
    "sqlite": ["DROP TRIGGER IF EXISTS jobs_invoiceline_refuses_more"],
    "postgresql": [
        "DROP TRIGGER IF EXISTS jobs_invoiceline_refuses_more ON jobs_invoiceline",
        "DROP FUNCTION IF EXISTS jobs_invoiceline_refuses_more()",
    ],
}


def _runs(statements: dict[str, list[str]]) -> Callable[[Apps, BaseDatabaseSchemaEditor], None]:
    def run(_apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
        for statement in statements[schema_editor.connection.vendor]:
            schema_editor.execute(statement, params=None)

    return run


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_initial")]

    operations = [
        *refuse_changes("jobs_invoice", when="OLD.frozen_at IS NOT NULL", message=INVOICE),
        *refuse_changes("jobs_invoiceline", message=LINE),
        RunPythonLazily(_runs(ADD), _runs(DROP)),
        *refuse_changes("jobs_payment", message=PAYMENT),
    ]
