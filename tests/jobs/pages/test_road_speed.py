from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from garage.models.visits import Visit
from jobs.pages.road_speed import road_speed_said
from jobs.pages.run_first_values import run_first_values
from tests.factories import garage, jobs
from tests.factories import runs as made

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    visit = jobs.card().visit
    visit.wants = "Dies at 50 mph."
    visit.save()
    return visit


def test_without_gearing_it_is_asked_for_and_without_a_speed_nothing_is_said(visit):
    assert road_speed_said(visit).startswith("50 mph: write gearing and tyre down on the machine’s page")
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
        assert "50\u00a0mph: write gearing and tyre down" in client.get(f"/visits/{visit.number}/{page}").text


GEARED = {"primary_ratio": Decimal("2.5"), "gear_ratios": "2.4 1.2", "final_ratio": Decimal("2.5"), "tyre": "1850"}


def test_without_a_run_the_gearing_on_the_machines_page_counts_its_own_before_its_kinds(visit):
    machine = visit.machine
    machine.kind = garage.machine_kind(**GEARED | {"final_ratio": Decimal("2.75")})
    assert "In top gear 50 mph are 5,981 rpm." in road_speed_said(visit)
    machine.final_ratio = Decimal("2.5")
    assert "In top gear 50 mph are 5,437 rpm." in road_speed_said(visit)


def test_a_runs_own_gearing_wins(visit):
    for name, value in (GEARED | {"tyre": "2000"}).items():
        setattr(visit.machine, name, value)
    made.run(visit, by=visit.card.opened_by, reduction=7.5, tyre="1850 mm")
    assert road_speed_said(visit).startswith("In the gear of run A of ")


def test_what_is_typed_on_the_machines_page_is_told_there_and_fills_the_form_of_the_first_run(client, visit):
    client.force_login(visit.card.opened_by)
    machine = visit.machine
    address = f"/machines/{machine.pk}/measures/"
    typed = {name: str(value) for name, value in GEARED.items()} | {"words": machine.words}
    refused = client.post(address, typed | {"tyre": "fat one"})
    assert refused.status_code == 422
    for said in (
        "Tyre is &#x27;fat one&#x27;; allowed is a size such as 90/90-18",
        'value="2.4 1.2"',
        'value="fat one"',
    ):
        assert said in refused.text
    client.post(address, typed)
    assert "In top gear 1,000\u00a0rpm are 14.8\u00a0km/h" in client.get(f"/machines/{machine.pk}/").text
    first = run_first_values(Visit.objects.get(pk=visit.pk), day=timezone.now().date())
    assert (first["reduction"], first["tyre"]) == (7.5, "1850 mm")


def test_no_page_breaks_a_value_from_its_unit(client, visit):
    made.run(visit, by=visit.card.opened_by, reduction=7.5, tyre="1850 mm")
    client.force_login(visit.card.opened_by)
    for page in ("card/", "runs/", ""):
        assert "5,437\u00a0rpm" in client.get(f"/visits/{visit.number}/{page}").text, page
