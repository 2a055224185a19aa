"""A link for each document that stands already, and none is ever changed."""

import secrets
from collections.abc import Mapping
from dataclasses import asdict

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from garage.models.triggers import refuse_but_to_forget, refuse_changes
from jobs.core.documents.chain import FIRST, LINE_MAY_GO, LINE_STAYS, MAY_GO, STAYS, linked

SERIES, SALT_BYTES = "invoice", 16
MESSAGE = "A link of the book's chain is never changed."


def link_all(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    """In order of number. One whose time was over has no words any more: its link says so by having no salt."""
    invoices, lines, links = (apps.get_model("jobs", name) for name in ("Invoice", "InvoiceLine", "ChainLink"))
    previous = FIRST
    for invoice in invoices.objects.order_by("number").values("pk", *STAYS, *MAY_GO).iterator():
        rows: list[Mapping[str, object]] = list(
            lines.objects.filter(invoice=invoice["pk"]).order_by("index").values(*LINE_STAYS, *LINE_MAY_GO)
        )
        made = linked(invoice, rows, series=SERIES, previous=previous, salt=secrets.token_hex(SALT_BYTES))
        values = asdict(made) | ({} if invoice["buyer"] else {"salt": ""})
        links.objects.create(invoice_id=invoice["pk"], series=SERIES, **values)
        previous = made.value


class Migration(migrations.Migration):
    dependencies = [("jobs", "0020_chain")]

    operations = [
        *refuse_but_to_forget(
            "jobs_chainlink",
            stays=["id", "invoice_id", "series", "words_hash", "previous", "value"],
            message=MESSAGE,
        ),
        *refuse_changes("jobs_chainlink", message=MESSAGE, changes=("DELETE",)),
        migrations.RunPython(link_all, migrations.RunPython.noop),
    ]
