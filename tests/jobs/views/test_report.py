"""The report on a visit, by its owner's link and at the desk, and the card on paper with its curve."""

from __future__ import annotations

import io
import re

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from garage.core.text.unbroken import kept_together
from garage.reads import links
from jobs.changes import cards, closing, runs
from jobs.models.cards import CardLine
from tests.factories import garage, jobs
from tests.factories import runs as made

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic(client):
    person = garage.person()
    client.force_login(person)
    return person


@pytest.fixture
def visit(mechanic):
    """A set-up with a pull before and one after a smaller main jet, not closed yet."""
    visit, now = jobs.card(by=mechanic).visit, timezone.now()
    visit.gate_at_bench_passed_at = visit.gate_passed_at = now
    visit.save()
    by = {"by": mechanic, "now": now}
    made.run(visit, by=mechanic, kilowatts=10, pulled_clean=True)
    cards.change_of_jet(visit, words="Main jet", before="98", after="95", pulled_clean=False, **by)
    made.run(visit, by=mechanic, kilowatts=11, fitted={"main_jet": "95"})
    cards.note(visit, what=CardLine.WORK, words="Pickup levelled", **by)
    cards.note(visit, what=CardLine.NOTE, words="Owner is slow to pay", **by)
    reading = {"of": "", "words": "best pull", "unit": "kW", "rpm": 8800}
    cards.reading(visit, before="10.0", after="11.0", **reading, **by)
    return visit


def closed(visit, mechanic):
    cards.found_cause(visit, fault="main-jet-rich", words="", by=mechanic, now=timezone.now())
    closing.close_with_causes(visit, by=mechanic, now=timezone.now())
    return visit


def by_link(visit, name):
    return reverse(name, args=[links.token(visit, links.VISIT)])


SAID = (
    "Pickup levelled",
    "98 out, 95 in",
    "at 8,800 rpm",
    "10.0 kW",
    "11.0 kW",
    "13.8 hp at 5,050 rpm",
    "15.2 hp at 5,050 rpm",
    "It has a smaller main jet: 95 in place of 98.",
    "Figures from rollers compare with each other on the same rollers.",
)


def test_the_owner_reads_what_was_found_done_read_and_drawn_and_what_to_watch(client, visit, mechanic):
    closed(visit, mechanic)
    client.logout()
    assert by_link(visit, "owner-report") in client.get(by_link(visit, "owner-visit")).text
    shown = client.get(by_link(visit, "owner-report")).text
    for said in SAID:
        assert said in " ".join(shown.split())
    headings = ["What was found", "On the rollers", "What was done", "Readings", "What to watch"]
    assert sorted(headings, key=lambda heading: shown.index(f"<h2>{heading}</h2>")) == headings
    for internal in ("slow to pay", mechanic.name):
        assert internal not in shown
    assert by_link(visit, "owner-curve") in shown
    picture = client.get(by_link(visit, "owner-curve"))
    assert (picture.status_code, picture["Content-Type"]) == (200, "image/svg+xml")


def test_on_paper_it_is_the_same_and_tagged_for_who_cannot_see_it(client, visit, mechanic):
    closed(visit, mechanic)
    for address in (by_link(visit, "owner-report-pdf"), reverse("visit-report-pdf", args=[visit.number])):
        paper = PdfReader(io.BytesIO(client.get(address).content))
        text = " ".join(" ".join(page.extract_text() for page in paper.pages).split())
        for said in SAID:
            assert said in text
        assert paper.trailer["/Root"]["/MarkInfo"]["/Marked"]
        assert "On the rollers" in paper.pages[0].extract_text(), "below much else it left a gap"


@pytest.mark.parametrize("name", ["owner-report", "owner-report-pdf", "owner-curve"])
def test_there_is_no_report_while_the_card_is_open(client, visit, name):
    assert client.get(by_link(visit, name)).status_code == 404
    assert by_link(visit, name) not in client.get(by_link(visit, "owner-visit")).text


def test_without_runs_a_report_has_no_curve(client, mechanic):
    visit = closed(jobs.card(by=mechanic).visit, mechanic)
    shown = client.get(by_link(visit, "owner-report")).text
    assert "On the rollers" not in shown
    assert client.get(by_link(visit, "owner-curve")).status_code == 404


def test_the_card_shows_its_curve_and_asks_for_the_plug_until_it_is_read(client, visit, mechanic):
    shown = client.get(reverse("card", args=[visit.number])).text
    assert reverse("visit-runs-picture", args=[visit.number]) in shown
    assert "Read the plug." in shown
    cards.note(visit, what=CardLine.NOTE, words="Plug: light brown", by=mechanic, now=timezone.now())
    assert "Read the plug." not in client.get(reverse("card", args=[visit.number])).text


def test_the_card_on_paper_has_its_runs_and_a_picture_that_opens_it(client, visit):
    answer = client.get(reverse("card-pdf", args=[visit.number]))
    paper = PdfReader(io.BytesIO(answer.content))
    text = re.sub(r"[ \n]+", " ", " ".join(page.extract_text() for page in paper.pages))
    assert kept_together("15.2 hp at 5,050 rpm") in text
    assert paper.trailer["/Root"]["/MarkInfo"]["/Marked"]


def test_the_wall_shows_the_runs_that_stand_and_no_name(client, visit, mechanic):
    runs.strike(visit.runs.get(letter="A"), by=mechanic, now=timezone.now())
    shown = client.get(reverse("visit-runs-wall", args=[visit.number])).text
    assert f"{reverse('visit-runs-wall-picture', args=[visit.number])}?B" in shown
    assert visit.owner.name not in shown
    assert "15.2 hp at 5,050 rpm" in shown
    assert "13.8 hp" not in shown
    picture = client.get(reverse("visit-runs-wall-picture", args=[visit.number]))
    assert picture["Content-Type"] == "image/svg+xml"
