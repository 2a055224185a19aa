from __future__ import annotations

import pytest

from jobs.pages.road_speed import road_speed_said
from tests.factories import jobs
from tests.factories import runs as made

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    visit = jobs.card().visit
    visit.wants = "Dies at 50 mph."
    visit.save()
    return visit


def test_without_gearing_it_is_asked_for_and_without_a_speed_nothing_is_said(visit):
    assert road_speed_said(visit).startswith("50 mph: write reduction and tyre down with a run")
    visit.wants = "Smokes."
    assert road_speed_said(visit) == ""


def test_with_the_gearing_of_a_run_it_is_told_in_revs(visit):
    made.run(visit, by=visit.card.opened_by, reduction=7.5, tyre="1850 mm")
    said = road_speed_said(visit)
    assert "50 mph are 5,437 rpm. No clip says yet how far it revs on the stand." in said
    assert said.startswith("In the gear of run A of ")


def test_the_card_and_the_visit_say_it(client, visit):
    client.force_login(visit.card.opened_by)
    for page in ("card/", ""):
        assert "50\u00a0mph: write reduction and tyre down" in client.get(f"/visits/{visit.number}/{page}").text


def test_no_page_breaks_a_value_from_its_unit(client, visit):
    made.run(visit, by=visit.card.opened_by, reduction=7.5, tyre="1850 mm")
    client.force_login(visit.card.opened_by)
    for page in ("card/", "runs/", ""):
        assert "5,437\u00a0rpm" in client.get(f"/visits/{visit.number}/{page}").text, page
