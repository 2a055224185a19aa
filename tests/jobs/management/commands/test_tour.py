"""The tour as a person starts it: in a process of its own, since it turns that process to a garage of its own."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from jobs.tour.facts import of_seed
from tests.servers import ROOT

pytestmark = pytest.mark.long

PAPERS = {"confirmation.eml", "confirmation.ics", "day-sheet.pdf", "job-card.pdf", "invoice.pdf", "invoice.eml"}
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


def test_it_tells_the_story_leaves_the_papers_and_touches_no_garage(tmp_path):
    done = run(tmp_path, "manage.py", "tour", "--seed", "4")
    facts = of_seed(4)
    assert (done.returncode, done.stderr) == (0, "")
    assert {path.name for path in (tmp_path / "papers").iterdir()} >= PAPERS
    assert facts.email in done.stdout
    assert f"£{facts.price}.00" in done.stdout
    total = re.search(r"comes to (£[\d.]+)", done.stdout).group(1)
    assert total in pypdf.PdfReader(tmp_path / "papers" / "invoice.pdf").pages[0].extract_text()
    assert not (tmp_path / "kept").exists()


@pytest.mark.parametrize(
    ("template", "said", "doctored", "sentence"),
    [
        ("papers/invoice.html", "{{ left|pounds }} to pay", "£1.00 to pay", "The sum to pay on the invoice's paper"),
        ("mail/visit_booked/body.txt", "When:  {{ visit.starts_at|local }}", "When:  soon", "The time"),
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
