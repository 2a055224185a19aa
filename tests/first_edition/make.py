"""How the data in this folder were made: run by the code of the first landed edition (commit 1694a67), not by today's.

    git worktree add --detach OLD 1694a67
    cd OLD && DATA=… python manage.py prepare --demo never
    DATA=… python manage.py shell --command "exec(open('…/tests/first_edition/make.py').read())" > first_edition.json
    sqlite3 $DATA/tickover.sqlite3 .dump, or pg_dump --no-owner --no-privileges

with $DATA/secret.key as in test_first_edition.py, once on each kind of database. It is that edition's own demo, without
the day of the demo itself: a visit set up, invoiced, paid and collected, one invoiced, and six to come.
"""

import json

from django.utils import timezone

from diagnostics.models.judgements import Judgement
from diagnostics.models.sheets import Finding
from garage.models.owners import Owner
from garage.models.visits import Visit
from garage.reads.links import SHEET, VISIT, token
from jobs.demo import visits
from jobs.demo.booking import Desk
from jobs.demo.floor import Floor
from jobs.demo.garage import founded
from jobs.models.book import Invoice, Paper
from jobs.tasks import make_papers

now = timezone.now()
desk, play = Desk(founded(), now), Floor(now)
visits._set_up_and_paid(desk, play)
visits._bench_check_not_paid_yet(desk, play)
play.play()
visits._to_come(desk)
make_papers()
told = {
    "visits": {
        visit.number: {
            "state": visit.state,
            "owner": visit.owner.name,
            "machine": visit.machine.words,
            "starts_at": visit.starts_at.isoformat() if visit.starts_at else None,
            "links": {purpose: token(visit, purpose) for purpose in (SHEET, VISIT)},
            "findings": [[row.question, row.answer] for row in Finding.objects.filter(visit=visit).order_by("pk")],
            "routes": [row.route for row in Judgement.objects.filter(visit=visit).order_by("pk")],
        }
        for visit in Visit.objects.select_related("owner", "machine").order_by("pk")
    },
    "owners": sorted(Owner.objects.values_list("name", "email")),
    "invoices": {
        row.number: {"gross": str(row.gross), "paper": Paper.objects.get(invoice=row).file.name}
        for row in Invoice.objects.order_by("pk")
    },
}
print(json.dumps(told, indent=1, ensure_ascii=False, default=str))  # noqa: T201
