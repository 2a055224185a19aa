"""An installation of the first landed edition, with its data, becomes one of today (tests/first_edition/make.py)."""

import json

import pytest

from tests.kept_garage import OLD_KEY, KeptGarage, of_the_first_edition, told

pytestmark = pytest.mark.long(minutes=2)

READ = """
import json
from datetime import datetime, UTC
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.sheets import Finding
from garage.models.owners import Owner
from garage.models.visits import Visit
from garage.reads.access import visit_by_link
from jobs.models.book import Invoice
links = json.loads('''LINKS''')
then = datetime(2026, 11, 30, 12, tzinfo=UTC)
opened = {token: getattr(visit_by_link(token, purpose, now=then), "number", None) for token, purpose in links}
print(json.dumps({
    "opened": opened,
    "visits": {
        str(visit.number): {
            "state": visit.state,
            "owner": visit.owner.name,
            "machine": visit.machine.words,
            "starts_at": visit.starts_at.isoformat() if visit.starts_at else None,
            "findings": [[row.question, row.answer] for row in Finding.objects.filter(visit=visit).order_by("pk")],
            "judgements": KeptJudgement.objects.filter(visit=visit).count(),
        }
        for visit in Visit.objects.select_related("owner", "machine")
    },
    "owners": sorted(map(list, Owner.objects.values_list("name", "email"))),
    "invoices": {
        str(row.number): {"gross": str(row.gross), "paper": row.paper.file.name, "lines": row.lines.count()}
        for row in Invoice.objects.all()
    },
}))
"""


@pytest.fixture(scope="module")
def old_garage(new_place):
    return of_the_first_edition(*new_place())


@pytest.fixture(scope="module")
def put_back(old_garage, new_place):
    """A backup of the old garage, put back in another place: the rows and files that it then had are kept here."""
    old_garage.manage("backup")
    (name,) = old_garage.backups()
    garage = KeptGarage(*new_place())
    garage.manage("restore", str(old_garage.data / "backups" / name))
    return garage, garage.rows_of_every_table(), garage.media()


@pytest.fixture(scope="module")
def upgraded(put_back):
    """Brought up to date, with what that said."""
    garage, _, _ = put_back
    return garage, garage.manage("prepare")


@pytest.fixture(scope="module")
def read(upgraded):
    garage, _ = upgraded
    links = [(token, purpose) for visit in told()["visits"].values() for purpose, token in visit["links"].items()]
    return json.loads(garage.shell(READ.replace("LINKS", json.dumps(links))))


def test_a_backup_of_it_put_back_elsewhere_has_every_row_and_every_file(old_garage, put_back):
    _, rows, media = put_back
    was = old_garage.rows_of_every_table()
    assert rows.keys() == was.keys()
    assert [table for table in was if rows[table] != was[table]] == []
    assert sum(map(len, was.values())) > 600
    assert media == old_garage.media()


def test_rows_that_never_change_are_still_guarded_where_it_was_put_back(old_garage, upgraded):
    garage, _ = upgraded
    assert old_garage.triggers() <= garage.triggers()


def test_a_copy_is_made_first(upgraded):
    garage, said = upgraded
    (name,) = garage.backups()
    assert name.endswith("-before-update.zip")
    assert f"Copied first to {garage.data / 'backups' / name}." in said


def test_a_start_with_nothing_to_bring_up_to_date_makes_none(upgraded):
    garage, _ = upgraded
    assert garage.manage("prepare") == ""
    assert len(garage.backups()) == 1


def test_visits_owners_and_findings_are_what_they_were(read):
    was = told()
    assert read["owners"] == was["owners"]
    assert read["visits"].keys() == was["visits"].keys()
    for number, visit in was["visits"].items():
        now = read["visits"][number]
        # Since then the rev-out's answer "bounces" is called "ceiling".
        findings = [[question, "ceiling" if answer == "bounces" else answer] for question, answer in visit["findings"]]
        assert now["findings"] == findings, number
        assert now["judgements"] == len(visit["routes"]), number
        same = ("state", "owner", "machine", "starts_at")
        assert [now[key] for key in same] == [visit[key] for key in same], number


def test_invoices_and_their_papers_are_what_they_were(upgraded, read):
    garage, _ = upgraded
    assert {
        number: {"gross": row["gross"], "paper": row["paper"]} for number, row in read["invoices"].items()
    } == told()["invoices"]
    assert all(row["lines"] for row in read["invoices"].values())
    assert garage.media()["invoices/2026/invoice-1.pdf"].startswith(b"%PDF")


def test_personal_links_that_were_mailed_then_open_their_own_visit(read):
    for number, visit in told()["visits"].items():
        assert read["opened"][visit["links"]["visit"]] == int(number)
        has_come = visit["state"] in ("collected", "ready")
        assert read["opened"][visit["links"]["sheet"]] == (None if has_come else int(number))


def test_its_key_goes_on(upgraded):
    garage, _ = upgraded
    assert (garage.data / "secret.key").read_text() == OLD_KEY


PAGES = """
from django.test import Client
from django.urls import reverse
from garage.models.people import Person
from garage.models.visits import Visit
client = Client(headers={"host": "localhost"})
client.force_login(Person.objects.get(username="boss"))
names = ("front", "day-sheet", "fix-first", "ring-list", "owners", "sent", "shop", "the-book", "learned")
pages = {reverse(name): 200 for name in names}
pages |= {reverse("visit", args=[number]): 200 for number in Visit.objects.values_list("number", flat=True)}
print({page: status for page, wanted in pages.items() if (status := client.get(page).status_code) != wanted})
print({status for token in TOKENS if (status := client.get(reverse("owner-visit", args=[token])).status_code) >= 500})
"""


def test_its_pages_open(upgraded):
    """An owner's page too, whether or not its link has expired by the day of the test."""
    garage, _ = upgraded
    tokens = [visit["links"]["visit"] for visit in told()["visits"].values()]
    assert garage.shell(PAGES.replace("TOKENS", repr(tokens))).split() == ["{}", "set()"]
