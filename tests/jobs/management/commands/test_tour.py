"""The tour as a person starts it: in a process of its own, since it turns that process to a garage of its own."""

import os
import re
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pypdf
import pytest

from jobs.tour.facts import of_seed
from tests.servers import ROOT

pytestmark = pytest.mark.long(minutes=2)

PAPERS = {"confirmation.eml", "confirmation.ics", "day-sheet.pdf", "job-card.pdf", "invoice.pdf", "invoice.eml"}
PAPERS |= {"sooner-confirmation.eml", "sooner-offer.eml", "sooner-invoice.eml", "sooner-invoice.pdf"}
PAPERS |= {"again-confirmation.eml", "may-go-on.eml", "goes-on.eml"}
# manage.py as it stands, but the garage that it throws away is copied first.
_KEPT = """
import runpy
import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path

class Kept(tempfile.TemporaryDirectory):
    def __exit__(self, *trouble):
        with closing(sqlite3.connect(Path(self.name) / "tour.sqlite3")) as left, closing(sqlite3.connect(kept)) as copy:
            left.backup(copy)
        super().__exit__(*trouble)

kept, tempfile.TemporaryDirectory = sys.argv.pop(1), Kept
sys.argv[0] = "manage.py"
runpy.run_path("manage.py", run_name="__main__")
"""
# The same command with templates of another folder found first: what a page says is not what the story made. Its
# database begins as one that was migrated before, so that there is nothing left for it to migrate.
_DOCTORED = """
import sqlite3
import sys
from contextlib import closing
import django
from django.conf import settings
settings.TEMPLATES[0]["DIRS"].insert(0, sys.argv.pop(1))
django.setup()
from django.core.management import execute_from_command_line
from django.db import connection
from jobs.tour import stage

def copied(_command, **_options):
    connection.ensure_connection()
    with closing(sqlite3.connect(migrated)) as kept:
        kept.backup(connection.connection)

migrated, stage.call_command = sys.argv.pop(1), copied
execute_from_command_line(["manage.py", *sys.argv[1:]])
"""


def run(folder: Path, *command: str) -> subprocess.CompletedProcess:
    variables = os.environ | {"DATA": str(folder / "kept"), "DJANGO_SETTINGS_MODULE": "garage.settings"}
    variables.pop("DATABASE_URL", None)
    done = [sys.executable, *command, "--out", str(folder / "papers")]
    return subprocess.run(done, cwd=ROOT, env=variables, capture_output=True, text=True, check=False)


@dataclass(frozen=True)
class Told:
    """folder: its papers, and what it must not touch. database: as it was at the end."""

    done: subprocess.CompletedProcess
    folder: Path
    database: Path

    def rows(self, sql: str, *values: object) -> list[tuple]:
        with closing(sqlite3.connect(self.database)) as connection:
            return connection.execute(sql, values).fetchall()


@pytest.fixture(scope="module")
def told(tmp_path_factory) -> Told:
    folder = tmp_path_factory.mktemp("told")
    database = folder / "end.sqlite3"
    return Told(run(folder, "-c", _KEPT, str(database), "tour", "--seed", "4"), folder, database)


def test_it_tells_the_story_leaves_the_papers_and_touches_no_garage(told):
    done, facts = told.done, of_seed(4)
    assert (done.returncode, done.stderr) == (0, "")
    assert {path.name for path in (told.folder / "papers").iterdir()} >= PAPERS
    assert facts.email in done.stdout
    assert f"£{facts.price}.00" in done.stdout
    total = re.search(r"comes to (£[\d.]+)", done.stdout).group(1)
    assert total in pypdf.PdfReader(told.folder / "papers" / "invoice.pdf").pages[0].extract_text()
    assert not (told.folder / "kept").exists()


def test_the_time_given_back_is_offered_taken_worked_and_invoiced(told):
    said = told.done.stdout
    gave, when = re.search(r"Visit (\d+) gives back (.+)\.", said).groups()
    steps = (
        r"Visit (\d+) is booked for .+ Sooner, if something comes free: 24 hours’ notice",
        r"Before everybody else, visit (\d+) is offered it, until ",
        rf"says yes by the link: visit (\d+) has {when} now\.",
        r"The card of visit (\d+) is closed: nothing wrong",
        rf"Invoice \d+ is for visit (\d+): £{of_seed(4).price}\.00",
    )
    found = [re.search(step, said) for step in steps]
    assert all(found)
    [number] = {match.group(1) for match in found}
    assert number != gave
    assert [match.start() for match in found] == sorted(match.start() for match in found)
    assert said.index("90 minutes were sold again") > found[-1].start()


def test_at_the_end_the_database_holds_what_the_story_told_of_the_time_given_back(told):
    """The first time was given back once, to be put right, and is the other's; the other's own stayed on sale."""
    gave, number = re.search(r"Visit (\d+) gives back .+\n.+ visit (\d+) is offered", told.done.stdout).groups()
    freed = told.rows(
        "select time.id, time.why, time.minutes, had.number, time.starts_at from garage_freedtime time"
        " join garage_visit had on had.id = time.visit_id order by time.freed_at"
    )
    freed, called_off = freed[:2], freed[2:]
    assert [row[1:4] for row in freed] == [("fix-first", 90, int(gave)), ("moved", 90, int(number))]
    assert [row[1:3] for row in called_off] == [("called-off", 90)]  # for the machine in the building
    offers = "select had.number, offer.time_id, offer.answer from garage_offer offer join garage_visit had"
    taken = f"{offers} on had.id = offer.visit_id where not in_the_building"
    assert told.rows(taken) == [(int(number), freed[0][0], "yes")]
    visits = "select id, starts_at, state from garage_visit where number = ?"
    [(visit, *has)] = told.rows(visits, number)
    assert has == [freed[0][4], "collected"]
    gates = "select passed, ended_at < ? from diagnostics_gate where visit_id = ?"
    assert told.rows(gates, freed[0][4], visit) == [(True, True)]
    sold = "select distinct visit_id from garage_soldpiece where at = 'roller' and begins_at = ?"
    assert [told.rows(sold, row[4]) for row in freed] == [[(visit,)], []]
    assert told.rows("select count(*) from jobs_invoice where visit_id = ?", visit) == [(1,)]
    assert told.rows("select count(*) from garage_hold") == [(0,)]


def test_the_machine_in_the_building_is_asked_about_takes_the_rollers_and_runs_on_them(told):
    asked = re.search(
        r"The owner of visit (\d+) is asked whether the work may go on (.+): £.+\n.+Asked until .+\n.+"
        r"Yes: it goes on, .+ The machine has the rollers (.+)\.\n.+Gate passed",
        told.done.stdout,
    )
    number, about, has = asked.groups()
    assert about == has
    answered = (
        "select offer.answer, had.starts_at = time.starts_at, had.at, step.ended_at > time.starts_at"
        " from garage_offer offer join garage_freedtime time on time.id = offer.time_id"
        " join garage_visit had on had.id = offer.visit_id"
        " join garage_step step on step.visit_id = had.id and step.at = 'roller'"
        " where offer.in_the_building and had.number = ?"
    )
    assert told.rows(answered, number) == [("yes", 1, "roller", 1)]


@pytest.mark.parametrize(
    ("template", "said", "doctored", "sentence"),
    [
        ("papers/invoice.html", "{{ to_pay }} to pay by", "£1.00 to pay by", "The sum to pay on the invoice's paper"),
        ("mail/visit_booked/body.txt", "When:  {{ when }}", "When:  soon", "The time"),
        (
            "diagnostics/findings.html",
            "{% include ",
            "<h2>Judged: nothing Not roller-ready</h2>{% include ",
            "The route",
        ),
    ],
    ids=["a paper", "a mail", "a page"],
)
def test_a_wrong_value_ends_it_with_status_1_and_is_named(tmp_path, prepared_data, template, said, doctored, sentence):
    original = (ROOT / "templates" / template).read_text(encoding="utf-8")
    assert said in original
    copy = tmp_path / "templates" / template
    copy.parent.mkdir(parents=True)
    copy.write_text(original.replace(said, doctored, 1), encoding="utf-8")
    migrated = str(prepared_data / "tickover.sqlite3")
    done = run(tmp_path, "-c", _DOCTORED, str(tmp_path / "templates"), migrated, "tour", "--seed", "4")
    assert done.returncode == 1
    assert sentence in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


def test_a_folder_that_cannot_be_written_is_one_clear_sentence(tmp_path):
    (tmp_path / "papers").write_text("a file where a folder should be")
    done = run(tmp_path, "manage.py", "tour")
    assert done.returncode == 1
    assert "cannot be written" in done.stderr
