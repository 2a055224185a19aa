"""One owner's data out, and erased: from every table and every file there is."""

from __future__ import annotations

import gzip
import io
import json
from datetime import timedelta
from pathlib import Path
from zipfile import ZipFile

import pytest
from django.apps import apps
from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils import timezone

from diagnostics.models.causes import Cause
from diagnostics.models.learning import Reopening
from garage.changes.people.erasing import NOBODY, erase
from garage.changes.people.owners import change_contact, join_owners
from garage.core import states
from garage.core.errors import Refused
from garage.models.list_files import ListFile
from garage.models.messages import Message
from garage.models.owners import Owner
from garage.models.safety import SafetyRemark
from garage.models.sessions import BrowserSession, SessionStore
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from garage.reads import links
from garage.reads.about_owner import lookups
from garage.reads.access import visit_by_link
from jobs.changes import forgetting
from jobs.models.book import Invoice
from jobs.models.cards import CardLine
from tests.factories import garage
from tests.factories import runs as made_runs
from tests.factories.everything import fill, mentions
from tests.sentences import refuses

pytestmark = pytest.mark.django_db
WHO = {
    "name": "Jocasta Quillfeather",
    "email": "jocasta.q@example.org",
    "telephone": "07700 900471",
    "address": "14 Tansy Yard\nAmbleford",
}
PLATE = "QF19 JOC"
SIGNS = ("jocasta", "quillfeather", "07700 900471", "14 tansy yard", PLATE.casefold(), "qf19joc")
SAID = "Jocasta Quillfeather of 14 Tansy Yard (jocasta.q@example.org, +44 7700 900471) brought QF19JOC. Quillfeather!"


@pytest.fixture(autouse=True)
def _media_of_its_own(settings, tmp_path):
    """What another test has left in the folder for all is not this one's."""
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def by():
    garage.shop()
    return garage.boss()


@pytest.fixture
def visit(by):
    owner = garage.owner(**WHO)
    made = garage.visit(machine=garage.machine(owner=owner, registration=PLATE), state=states.COLLECTED)
    Visit.objects.filter(pk=made.pk).update(
        collected_at=timezone.now(), wants=SAID, owner_remarks=[SAID], route_reasons=[SAID], called_off_why=SAID
    )
    made.refresh_from_db()
    return made


def everything_named(made):
    """Where a name still stands: table and column, and files."""
    found = set()
    for model in apps.get_models():
        for row in model._default_manager.all():
            for field in model._meta.concrete_fields:
                value = getattr(row, field.attname)
                is_packed = field.name in getattr(model, "packed_by_gzip", ()) and value
                value = gzip.decompress(value) if is_packed else value
                text = bytes(value).decode() if isinstance(field, models.BinaryField) and value else str(value)
                if isinstance(field, models.TextField) and model is BrowserSession:
                    text = str(row.get_decoded())
                if any(sign in text.casefold() for sign in SIGNS):
                    found.add(f"{model.__name__}.{field.name}")
    media = Path(settings.MEDIA_ROOT)
    files = [path for path in media.rglob("*") if path.is_file()]
    return found | {path.relative_to(media).parts[0] for path in files if b"Quillfeather" in path.read_bytes()}


def filled(visit, by):
    """Its card is closed, however often it was open."""
    made = fill(visit, SAID, by=by)
    Reopening.objects.update(closed_again_at=timezone.now())
    Cause.objects.update(fault="")
    buyer = {"name": WHO["name"], "address": WHO["address"].splitlines(), "email": WHO["email"]}
    Invoice.objects.update(buyer=buyer, seller="the shop", vat_by_rate=[], payment_words="", frozen_at=timezone.now())
    return made


def browser_that_typed(words):
    session = SessionStore()
    session["booking"] = {"who": {"name": words}}
    session.save()


def test_nothing_names_an_erased_owner_in_any_table_or_file_but_the_papers_of_the_book(
    visit, by, django_capture_on_commit_callbacks
):
    made = filled(visit, by)
    assert len(made) > 40
    mentions(SAID.removesuffix(" Quillfeather!"))  # elsewhere a surname alone may be somebody else's
    browser_that_typed("Jocasta Quillfeather")
    browser_that_typed("Somebody Else")
    ListFile.objects.create(what=ListFile.OWNERS, name="o.csv", content=SAID.encode(), at=timezone.now(), by=by)
    Message.objects.create(
        what="fresh_link",
        to=WHO["email"],
        subject=SAID,
        text=SAID,
        html="",
        written_at=timezone.now(),
        due_at=timezone.now(),
    )
    before = everything_named(made)
    assert {"Owner.name", "TrailRow.did", "BrowserSession.session_data", "clips", "photos", "Invoice.buyer"} <= before
    assert len(before) > 45
    with django_capture_on_commit_callbacks(execute=True):
        erase(visit.owner, by=by, now=timezone.now())
    left = everything_named(made)
    assert left == {
        *("Invoice.buyer", "Invoice.machine", "Invoice.exemption_words", "InvoiceLine.words"),
        *("KeptDeposit.why", "CreditNote.why", "invoices"),
    }
    assert BrowserSession.objects.count() == 1
    long_after = timezone.now() + timedelta(days=8 * 365)
    with django_capture_on_commit_callbacks(execute=True):
        forgetting.forget_old(now=long_after)
    assert everything_named(made) == set()


def test_an_erased_owner_leaves_the_work_on_the_machine_and_what_was_told_about_safety(visit, by):
    made = filled(visit, by)
    erase(visit.owner, by=by, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.owner.name, visit.owner.email, visit.machine.words) == (NOBODY, "", "Corrick 185")
    for model in (CardLine, Cause, SafetyRemark):
        assert model.objects.get(pk=made[model].pk).words.startswith("… of … (…, …) brought …"), model


def test_other_owners_stay_as_they_are(visit, by):
    other = garage.visit(state=states.COLLECTED, wants="Jocasta Quillfeather is a friend.")
    mentioned = {"name": other.owner.name, "wants": other.wants}
    erase(visit.owner, by=by, now=timezone.now())
    other.refresh_from_db()
    assert {"name": other.owner.name, "wants": other.wants} == mentioned


def test_records_joined_to_it_go_too_whichever_was_asked_for(visit, by):
    double = garage.owner(name="J. Quillfeather", telephone="07700 900472")
    join_owners(visit.owner, double, by=by, now=timezone.now())
    double.refresh_from_db()
    erase(double, by=by, now=timezone.now())
    assert set(Owner.objects.values_list("name", "telephone")) == {(NOBODY, "")}
    assert not TrailRow.objects.filter(did__contains="Quillfeather").exists()


@pytest.mark.parametrize("state", sorted(set(states.WORDS) - states.OVER))
def test_nobody_is_erased_while_a_visit_is_open(visit, by, state):
    Visit.objects.filter(pk=visit.pk).update(state=state)
    sentence = f"Still open: visit {visit.number}. Erase once the machine is back and the visit is over."
    with refuses(sentence):
        erase(visit.owner, by=by, now=timezone.now())
    visit.owner.refresh_from_db()
    assert visit.owner.name == WHO["name"]


def test_an_erased_owners_links_are_dead_and_the_record_cannot_be_filled_in_again(visit, by):
    token, now = links.token(visit, links.VISIT), timezone.now()
    erase(visit.owner, by=by, now=now)
    assert visit_by_link(token, links.VISIT, now=now) is None
    contact = {"name": "X", "email": "x@example.org", "telephone": "", "address": "", "is_business": False}
    with pytest.raises(Refused, match="has been erased"):
        change_contact(visit.owner, **contact, language="en", by=by, now=now)
    with refuses("This owner has been erased already."):
        erase(visit.owner, by=by, now=now)


def test_it_says_in_the_trail_that_somebody_was_erased_and_not_who(visit, by):
    erase(visit.owner, by=by, now=timezone.now())
    row = TrailRow.objects.get(about=f"owner {visit.owner_id}")
    assert (row.did, row.by) == ("erased: 1 record, 1 visit", by)


def zip_of(client, owner):
    answer = client.get(reverse("owner-data", args=[owner.pk]))
    assert answer["Content-Type"] == "application/zip"
    return ZipFile(io.BytesIO(b"".join(answer.streaming_content)))


def test_the_file_for_an_owner_holds_a_list_for_every_table_and_every_file(visit, by, client):
    made = filled(visit, by)
    client.force_login(by)
    with zip_of(client, visit.owner) as archive:
        whole, names = json.loads(archive.read("data.json")), set(archive.namelist())
        read_me = archive.read("read-me.txt").decode()
    lists = {str(model._meta.verbose_name_plural).replace(" ", "_") for model in lookups()}
    assert set(whole["data"]) == lists
    assert all(kind in read_me for kind in lists)
    assert whole["data"]["owners"][0]["name"] == WHO["name"]
    for kind in ("clips", "photos", "papers"):
        assert whole["data"][kind][0]["file"] in names
    assert whole["data"]["enclosures"][0]["content"] in names
    assert by.username not in json.dumps(whole)
    assert "link_generation" not in whole["data"]["visits"][0]
    assert len(made) == len(lists)


def test_the_files_of_their_runs_are_handed_out_as_the_logger_wrote_them(visit, by, client):
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE, arrived_at=timezone.now())
    row = made_runs.run(visit, by=by)
    client.force_login(by)
    with zip_of(client, visit.owner) as archive:
        kept = json.loads(archive.read("data.json"))["data"]
        assert archive.read(kept["run_files"][0]["packed"]) == made_runs.power_file()
    assert kept["run_files"][0]["packed"] == f"run_files/{row.file_id}.csv"
    assert kept["runs"][0]["curve"]["rpm"] == list(row.curve["rpm"])


def test_nothing_of_another_owner_is_in_it_though_they_had_the_same_machine_and_offered_time(visit, by, client):
    other = garage.owner(name="Barnaby Otherwise", email="barnaby@example.org", telephone="07700 900999")
    theirs = garage.visit(machine=visit.machine, owner=other, state=states.COLLECTED, wants="Otherwise rich")
    fill(visit, SAID, by=by)
    fill(theirs, "Barnaby Otherwise barnaby@example.org 07700 900999", by=garage.boss())
    client.force_login(by)
    with zip_of(client, visit.owner) as archive:
        every = b"".join(archive.read(name) for name in archive.namelist())
    assert b"Quillfeather" in every
    assert b"Otherwise" not in every
    assert b"barnaby" not in every


def test_the_page_asks_once_more_says_what_stays_and_wants_to_know_who_asked(visit, by, client):
    client.force_login(by)
    address = reverse("owner-erase", args=[visit.owner_id])
    asked = client.get(address).text
    for said in ("six years", f"{settings.BACKUPS_KEPT} more days", "What stays, and why"):
        assert said in asked
    answer = client.post(address, {})
    assert answer.status_code == 422
    assert "Tick this first" in answer.text
    assert Owner.objects.get(pk=visit.owner_id).name == WHO["name"]
    assert client.post(address, {"was_asked": "on"}).status_code == 302
    page = client.get(reverse("owner", args=[visit.owner_id])).text
    assert "Erased on" in page
    assert "Quillfeather" not in page
    for name in ("visit", "card", "findings"):
        assert client.get(reverse(name, args=[visit.number])).status_code in (200, 404), name
