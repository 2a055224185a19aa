"""Counts every closed card anew, by code of its own, and compares with the sums that closing a card moves."""

from __future__ import annotations

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from diagnostics.changes import learning
from diagnostics.reads.learned_check import differences


class Command(BaseCommand):
    help = "Checks that What we learned shows what all closed cards give, counted anew. Puts right what differs."

    def handle(self, *args: object, **options: object) -> None:
        numbers = learning.look_through(now=timezone.now())
        if numbers:
            print(f"Put right: what was kept of the visits {', '.join(map(str, numbers))}.")
        if found := differences():
            raise CommandError("\n".join(found))
        print("What we learned is what all closed cards give, counted anew.")
