"""Looks through the whole book and says whether it is as it was issued."""

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.changes.chain import look_through
from jobs.changes.invoices import INVOICES


class Command(BaseCommand):
    help = "Checks that no invoice or credit note was changed, swapped or dropped since it was issued."

    def handle(self, *args: object, **options: object) -> None:
        check = look_through(series=INVOICES, now=timezone.now())
        if check.fault_count:
            more = check.fault_count - len(check.faults)
            raise CommandError("\n".join([*check.faults, *([f"And {more} more."] if more else [])]))
        print(f"The book is as it was issued: {check.documents} documents. The last has the value {check.last_value}.")
