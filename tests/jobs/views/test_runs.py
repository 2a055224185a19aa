from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from garage.core.text.unbroken import kept_together
from jobs.changes import runs
from jobs.core.runs.air import Air
from jobs.models.runs import RollersSetUp, Run
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
    return jobs.card(by=mechanic).visit


TYPED = {
    "column_0": "revs:rpm",
    "column_1": "power:kW",
    "pressure": "29,2",
    "pressure_unit": "inHg",
    "temperature": "86",
    "temperature_unit": "°F",
    "humidity": "40",
    "standard": "sae",
    "smoothing": "0,2",
    "main_jet": "98",
}


def sent(client, visit, content):
    upload = SimpleUploadedFile("pull 3.csv", content, "text/csv")
    return client.post(reverse("visit-runs", args=[visit.number]), {"file": upload})


def test_a_file_is_sent_looked_at_and_drawn(client, visit):
    page = sent(client, visit, made.power_file()).url
    looked = client.get(page).text
    assert "pull 3.csv" in looked
    assert "The columns are guessed: look at each." in looked
    assert '<option value="power:kW" selected>' in looked
    assert "10.000" in looked
    answer = client.post(page, TYPED)
    assert answer.url == reverse("visit-runs", args=[visit.number])
    shown = client.get(answer.url).text
    assert kept_together("13.4 hp at 5,050 rpm") in shown  # 10 kW as measured
    assert kept_together("13.8 hp at 5,050 rpm") in shown  # times 1.0322: 29.2 inHg less 17 hPa of water, 30 °C
    assert kept_together("Corrected to SAE J1349, that is to 25 °C and 990 hPa of dry air: run A times 1.032") in shown
    assert "main jet 98" in shown
    assert "One run: how far the next would differ is not known." in shown
    picture = client.get(reverse("visit-runs-picture", args=[visit.number]))
    assert picture["Content-Type"] == "image/svg+xml"
    assert picture.content.startswith(b"<?xml")


def test_the_second_file_of_a_logger_is_known_and_the_form_filled(client, visit):
    client.post(sent(client, visit, made.power_file()).url, TYPED | {"column_1": "power:kW"})
    looked = client.get(sent(client, visit, made.power_file(11)).url).text
    assert "The columns are as you said of such a file before." in looked
    assert 'value="98"' in looked
    assert 'value="988.8"' in looked  # hPa: 29.2 inHg


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"humidity": ""}, "Humidity is missing; allowed is all three of pressure, temperature and humidity"),
        ({"humidity": "140"}, "Humidity is 140; allowed is 0 to 100 %."),
        ({"pressure": "soon"}, "Enter a number, such as 12.5."),
        ({"column_1": ""}, "What the power comes from is missing; allowed is power or torque, or time with"),
        ({"column_1": "power:hp"}, "Column 2, Power is &#x27;hp&#x27;; allowed is kW, as the file says"),
        ({"column_0": "", "tyre": "round"}, "Tyre is &#x27;round&#x27;; allowed is a size such as 90/90-18"),
        ({"smoothing": "9"}, "Smoothing is 9; allowed is 0 to 2 s."),
        ({"main_jet": "9" * 31}, "Ensure this value has at most 30 characters"),
    ],
)
def test_what_cannot_be_used_is_one_sentence_and_what_was_typed_stays(client, visit, wrong, sentence):
    page = sent(client, visit, made.power_file()).url
    answer = client.post(page, TYPED | wrong)
    assert answer.status_code == 422
    assert kept_together(sentence) in answer.text
    assert 'value="86"' in answer.text
    assert not Run.objects.exists()


def test_a_spreadsheet_in_disguise_is_answered_with_the_way_out(client, visit):
    answer = sent(client, visit, b"PK\x03\x04...")
    assert answer.status_code == 422
    assert "save or export it as CSV" in answer.text


def test_before_and_after_are_told_apart_by_what_is_fitted(client, visit, mechanic):
    made.run(visit, by=mechanic, kilowatts=10, fitted={"main_jet": "98"})
    for kilowatts in (11.0, 11.2):
        made.run(visit, by=mechanic, kilowatts=kilowatts, fitted={"main_jet": "105"})
    shown = client.get(reverse("visit-runs", args=[visit.number])).text
    assert "run A 13.8 hp" in shown
    assert "runs B, C 15.3 hp" in shown
    assert kept_together("2 runs with the same things fitted: 15.2 to 15.5 hp at the peak.") in shown


def test_outside_the_range_only_measured_power_is_shown(client, visit, mechanic):
    made.run(visit, by=mechanic, air=garage_air(900), standard="sae")
    shown = client.get(reverse("visit-runs", args=[visit.number])).text
    assert "Not corrected: shown as measured." in shown
    assert "Run A is outside the range of SAE J1349: its factor would be 1.1" in shown
    assert kept_together("13.4 hp at 5,050 rpm") in shown
    assert '<td data-th="Power, corrected">–</td>' in shown


def garage_air(hpa):
    return Air(hpa, 25, 0)


def test_a_run_struck_out_is_in_no_curve_but_stays_readable_with_its_file(client, visit, mechanic):
    run = made.run(visit, by=mechanic)
    client.post(reverse("run-strike", args=[visit.number, run.pk]))
    shown = client.get(reverse("visit-runs", args=[visit.number])).text
    assert "struck out" in shown
    assert "<img" not in shown.partition("<main")[2]
    assert client.get(reverse("visit-runs-picture", args=[visit.number])).status_code == 404
    file = client.get(reverse("run-csv", args=[visit.number, run.pk]))
    assert file.content == made.power_file()


def test_the_air_since_the_last_set_up_is_said_in_terms_of_mixture(client, visit, mechanic):
    made.run(visit, by=mechanic, air=garage_air(1000))
    later = garage.visit(machine=visit.machine, owner=visit.owner, state=visit.state, arrived_at=timezone.now())
    made.run(later, by=mechanic, air=garage_air(1020))
    shown = client.get(reverse("visit-runs", args=[later.number])).text
    assert "denser than at run A of" in shown
    assert kept_together("with the same jets about 1.0 % leaner (square-root rule, a rule of thumb)") in shown
    assert "can seize the engine" in shown


def test_another_visits_run_and_file_are_not_found(client, visit, mechanic):
    run = made.run(visit, by=mechanic)
    file = runs.send(visit, name="x", content=made.power_file(), by=mechanic, now=timezone.now())
    other = garage.visit()
    for name, row in (("run-csv", run.pk), ("run-file", file.pk), ("run-strike", run.pk)):
        ask = client.post if name == "run-strike" else client.get
        assert ask(reverse(name, args=[other.number, row])).status_code == 404


def test_a_second_press_leads_on_to_the_run(client, visit):
    page = sent(client, visit, made.power_file()).url
    answers = [client.post(page, TYPED) for _ in range(2)]
    assert [answer.url for answer in answers] == [reverse("visit-runs", args=[visit.number])] * 2
    assert Run.objects.count() == 1


def test_the_boss_writes_the_rollers_down(client, visit):
    client.force_login(garage.boss())
    typed = {"inertia": "6,25", "diameter": "500", "standard": "din", "power_unit": "PS", "torque_unit": "lbf·ft"}
    assert client.post(reverse("shop-rollers"), typed).url == reverse("shop-rollers")
    assert RollersSetUp.objects.get().rollers.inertia_kg_m2 == 6.25
    assert 'value="6.25"' in client.get(reverse("shop-rollers")).text
    answer = client.post(reverse("shop-rollers"), typed | {"inertia": "-6.25"})
    assert answer.status_code == 422
    assert kept_together("Inertia is -6.25; allowed is 0.01 to 1000 kg·m²") in answer.text
    answer = client.post(reverse("shop-rollers"), typed | {"inertia": ""})
    assert "Inertia is missing; allowed is both inertia and diameter, or neither." in answer.text


def test_the_card_leads_to_its_runs(client, visit):
    assert reverse("visit-runs", args=[visit.number]) in client.get(reverse("card", args=[visit.number])).text


def test_a_closed_card_offers_no_new_run(client, mechanic):
    page = reverse("visit-runs", args=[jobs.closed_card().visit.number])
    assert "Add a run" not in client.get(page).text
    answer = client.post(page, {"file": SimpleUploadedFile("pull.csv", made.power_file(), "text/csv")})
    assert answer.status_code == 409


def test_a_machines_history_leads_to_its_curves(client, visit, mechanic):
    for _ in range(2):
        made.run(visit, by=mechanic)
    runs.strike(made.run(visit, by=mechanic), by=mechanic, now=timezone.now())
    shown = client.get(reverse("machine", args=[visit.machine_id])).text
    assert f'aria-label="The curves of visit {visit.number}: runs A, B"' in shown
