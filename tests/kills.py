"""Work to be killed in the middle of, and what must hold of its rows afterwards: all of a deed, or nothing of it."""

from __future__ import annotations

from tests.servers import Garage

SET_UP = """
from tests.factories import booking, garage
garage.shop(holds_per_address_and_hour=30000)
garage.boss()
garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
"""

MADE = "booked and billed"
# Books and bills until somebody ends it. As a person does, it tries again where the database was busy and nothing was
# saved, and it leaves the database alone for a moment: SQLite lets one writer in, and not the one that came first.
WORK = f"""
import random, time
from decimal import Decimal
from django.db import OperationalError
from django.utils import timezone
from garage.core.computer.cannot_save import CannotSave, why_of_database
from garage.core.errors import Showable
from garage.models.people import Person
from garage.models.shop import VisitKind
from jobs.changes import invoices
from tests.factories import booking, jobs
kind, boss = VisitKind.objects.get(slug="bench"), Person.objects.get(role="boss")
days = [booking.open_day(nth) for nth in range(1, 14)]
def made_one():
    starts_at = booking.at_local(random.choice(days), random.choice(range(8, 17)))
    card = jobs.closed_card(visit=booking.arrived(booking.booked(kind, starts_at)), by=boss)
    jobs.part(card, price_each=Decimal("12.34"))
    invoices.issue(card.visit, by=boss, now=timezone.now(), buyer_address="1 Mill Row")
while True:
    try:
        made_one()
        print({MADE!r}, flush=True)
    except Showable:
        pass
    except OperationalError as error:
        if why_of_database(str(error)) != CannotSave.LOCKED:
            raise
    time.sleep(random.uniform(0, 0.05))
"""

PIECES, STEPS = 12, 1  # of an hour at the bench

OF_A_VISIT = """
select count(*) from garage_visit v join garage_visitkind k on k.id = v.kind_id where k.slug = 'bench' and (
  (select count(*) from garage_soldpiece p where p.visit_id = v.id) <> {pieces}
  or (select count(*) from garage_step s where s.visit_id = v.id) <> {steps}
  or (select count(*) from garage_message m where m.visit_id = v.id and m.what = 'visit_booked') <> 1
  or (select count(*) from garage_message m join garage_enclosure e on e.message_id = m.id
      where m.visit_id = v.id and m.what = 'visit_booked') <> 1
  or (select count(*) from garage_trailrow t where t.visit_id = v.id and t.did like 'booked: %') <> 1)
"""
OF_ANY_GARAGE = {
    "minutes sold twice": (
        "select count(*) from (select 1 as n from garage_soldpiece group by at, place, begins_at having count(*) > 1) x"
    ),
    "invoices that are not frozen": "select count(*) from jobs_invoice where frozen_at is null",
    "invoices whose lines do not add up": (
        "select count(*) from jobs_invoice i where round(i.gross, 2) <> "
        "round((select coalesce(sum(l.gross), 0) from jobs_invoiceline l where l.invoice_id = i.id), 2)"
    ),
    "invoices without their paper": (
        "select count(*) from jobs_invoice i where not exists (select 1 from jobs_paper p where p.invoice_id = i.id)"
    ),
    "gaps in the numbers of invoices": "select coalesce(max(number), 0) - count(*) from jobs_invoice",
}
HALF_MADE = {
    "visits without all that belongs to them": OF_A_VISIT.format(pieces=PIECES, steps=STEPS),
    "owners without a machine": (
        "select count(*) from garage_owner o where o.name = 'Robin Ashworth' "
        "and not exists (select 1 from garage_machine m where m.owner_id = o.id)"
    ),
    "machines without a visit": (
        "select count(*) from garage_machine m join garage_owner o on o.id = m.owner_id "
        "where o.name = 'Robin Ashworth' and not exists (select 1 from garage_visit v where v.machine_id = m.id)"
    ),
    "invoices that the trail does not know": (
        "select count(*) from jobs_invoice i where (select count(*) from garage_trailrow t "
        "where t.visit_id = i.visit_id and t.did like 'issued invoice %') <> 1"
    ),
    **OF_ANY_GARAGE,
}


def half_made(garage: Garage) -> dict[str, int]:
    """What is wrong, by its words. Empty if all is well."""
    found = {words: int(garage.rows(statement)[0][0]) for words, statement in HALF_MADE.items()}
    return {words: count for words, count in found.items() if count}


def made(garage: Garage) -> tuple[int, int]:
    """How many visits were booked, and how many invoices issued."""
    visits = "select count(*) from garage_visit v join garage_visitkind k on k.id = v.kind_id where k.slug = 'bench'"
    return int(garage.rows(visits)[0][0]), int(garage.rows("select count(*) from jobs_invoice")[0][0])
