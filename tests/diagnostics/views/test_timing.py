from decimal import Decimal

import pytest
from django.urls import reverse

from diagnostics.core.gate_list import AT_BENCH
from diagnostics.models.gates import Gate
from garage.models.packers import PackerStock
from garage.output.pictures import CONTENT_TYPE
from tests.factories import garage
from tests.factories.diagnostics import gate_answered, gate_over
from tests.forms import values_of

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}
HEIGHTS = {"pickup_mm": "12", "magnet_mm": "13,3"}


@pytest.fixture
def mechanic(client):
    garage.shop()
    person = garage.person()
    client.force_login(person)
    return person


@pytest.fixture
def machine(mechanic):
    return garage.machine(kind=garage.machine_kind(flywheel_mm=Decimal("110")))


@pytest.fixture
def gate(machine):
    for thickness_mm in ("0.5", "0.8"):
        PackerStock.objects.create(thickness_mm=Decimal(thickness_mm), count=1, price_each=Decimal("1.20"))
    return gate_over(
        machine=machine, strobe_readings=[[1400, 14], [9000, 19.5]], strobe_verdict="advances", passed=False
    )


def at(name, *args):
    return reverse(name, args=args)


def test_the_picture_is_for_the_workshop_only_and_an_image(client, gate):
    path = at("strobe-picture", gate.pk)
    answer = client.get(path)
    assert (answer.status_code, answer["Content-Type"]) == (200, CONTENT_TYPE)
    assert client.get(at("strobe-picture", 9999)).status_code == 404
    client.logout()
    assert reverse("log-in") in client.get(path)["Location"]


@pytest.mark.parametrize("page", ["machine", "gate"])
def test_machine_and_gate_show_picture_readings_verdict_and_what_to_look_at(client, gate, page):
    argument = gate.visit.machine_id if page == "machine" else gate.visit.number
    shown = client.get(at(page, argument)).text
    for said in (
        f'src="{at("strobe-picture", gate.pk)}"',
        'alt="Timing against revs: 14° at 1400 rpm (spec 17°); 19.5° at 9000 rpm (spec 17°).',
        "3° late",
        "2.5° early",
        "<b>Advances.</b> From tickover to peak it advances 5.5°.",
        "The middles of the pickup and the flywheel magnets",
        "Piston below TDC, mm",
        "Arc on the rim, mm",
        "Packers under the stator plate",
    ):
        assert said in shown
    assert ("looks as if it is standing still" in shown) == (page == "machine")  # the gate says it where it is strobed


def test_the_cautions_of_the_strobe_are_shown_where_it_is_read(client, gate):
    client.post(at("gate-begin", gate.visit.number))
    begun = Gate.objects.get(ended_at=None)
    gate_answered(begun, by=begun.by, part=AT_BENCH, strobe=(), rev_out="")
    shown = client.get(at("gate", gate.visit.number)).text
    assert "Under the strobe the flywheel looks as if it is standing still" in shown
    assert "Exhaust gas kills unseen" in shown


def test_a_gate_that_passed_offers_no_packers(client, machine):
    gate = gate_over(machine=machine, strobe_readings=[[1400, 17], [9000, 16.5]], strobe_verdict="in-spec")
    shown = client.get(at("gate", gate.visit.number)).text
    assert "Timing against revs" in shown
    assert "Packers under the stator plate" not in shown


# Recomputed outside the project: 54/110 at 18 degrees 1.6384 mm; flywheel of 110 mm 17.2788 mm; 2.0 mm 19.916 degrees.
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"btdc_deg": "18"}, "18° is 1.638 mm of piston travel, 17.28 mm round the flywheel rim"),
        ({"btdc_mm": "2,0"}, "19.916° is 2.000 mm of piston"),
    ],
)
def test_degrees_and_millimetres_are_converted_with_and_without_javascript(client, machine, typed, said):
    whole = client.get(at("machine-degrees", machine.pk), typed)
    part = client.get(at("machine-degrees", machine.pk), typed, headers=HTMX)
    assert said in whole.text
    assert said in part.text
    assert "<html" in whole.text
    assert part.text.lstrip().startswith("<section")
    assert "HX-Request" in part["Vary"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"btdc_deg": "181"}, "Degrees BTDC is 181; allowed is crank degrees from 0 to 180."),
        ({"btdc_mm": "54.1"}, "allowed is a travel from 0 to the stroke of 54 mm"),
        ({"btdc_deg": "18", "btdc_mm": "2"}, "Type one of the two, not both"),
        ({"btdc_deg": "", "btdc_mm": ""}, "Type one of the two, not both"),
        ({"btdc_deg": "a lot"}, "Enter a number"),
        ({"btdc_deg": "1e99999999"}, "Ensure that there are no more than 12 digits"),
        ({"btdc_mm": "NaN"}, "Enter a number"),
    ],
)
def test_an_impossible_conversion_is_reported_once_and_kept(client, machine, typed, said):
    for headers in ({}, HTMX):
        answer = client.get(at("machine-degrees", machine.pk), typed, headers=headers)
        assert answer.status_code == 422
        assert answer.text.count(said) == 1
        for value in filter(None, typed.values()):
            assert f'value="{value}"' in answer.text


def test_a_machine_of_unknown_measures_says_so_and_where_to_enter_them(client, mechanic):
    bare = garage.machine()
    shown = client.get(at("machine-degrees", bare.pk)).text
    assert "Not known: its stroke, its rod, its flywheel." in shown
    assert at("machine-measures", bare.pk) in shown
    assert "Convert" not in shown
    assert client.get(at("machine-degrees", bare.pk), {"btdc_deg": "18"}).status_code in (200, 422)


def test_the_stack_is_worked_out_from_stock_with_and_without_javascript(client, gate):
    whole = client.get(at("machine-packers", gate.visit.machine_id), HEIGHTS)
    part = client.get(at("machine-packers", gate.visit.machine_id), HEIGHTS, headers=HTMX)
    for answer in (whole, part):
        assert "Put 1.3 mm of packers under the stator plate" in answer.text
        assert "<b>0.8 and 0.5 mm</b>. Exactly level." in answer.text
    assert part.text.lstrip().startswith("<section")


def test_the_nearest_stack_and_a_plate_too_high_are_reported(client, gate):
    path = at("machine-packers", gate.visit.machine_id)
    nearest = client.get(path, HEIGHTS | {"magnet_mm": "15"}).text
    assert "Nearest: <b>0.8 and 0.5 mm</b>. 1.7 mm too little." in nearest
    high = client.get(path, HEIGHTS | {"magnet_mm": "11"}).text
    assert "the plate must come down, not up" in high
    assert "from stock</button>" not in high


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"magnet_mm": ""}, "This field is required"),
        ({"magnet_mm": "high"}, "Enter a number"),
        ({"magnet_mm": "101"}, "less than or equal to 100"),
    ],
)
def test_impossible_heights_are_reported_and_kept(client, gate, typed, said):
    answer = client.get(at("machine-packers", gate.visit.machine_id), HEIGHTS | typed)
    assert answer.status_code == 422
    assert said in answer.text
    assert 'value="12"' in answer.text


def test_a_stack_is_taken_with_one_tap_and_put_back_without_javascript(client, gate):
    number = gate.visit.number
    page = client.get(at("machine-packers", gate.visit.machine_id), HEIGHTS).text
    assert values_of(page, "Take 0.8 and 0.5 mm from stock")["packer_mm"] == ["0.8", "0.5"]
    taken = client.post(at("gate-packers", number), {"packer_mm": ["0.8", "0.5"]}, follow=True)
    assert "Taken from stock, and written on the card." in taken.text
    assert "<b>0.8 and 0.5 mm</b>" in taken.text
    assert [row.count for row in PackerStock.objects.all()] == [0, 0]
    again = client.post(at("gate-packers", number), {"packer_mm": ["0.8"]}, follow=True)
    assert "were already taken for these readings" in again.text
    back = client.post(at("gate-packers-back", number), follow=True)
    assert "Back in stock" in back.text
    assert "No packers were taken" in client.post(at("gate-packers-back", number), follow=True).text


def test_a_stack_is_taken_and_put_back_inside_the_page(client, gate):
    number = gate.visit.number
    taken = client.post(at("gate-packers", number), {"packer_mm": ["0.8", "0.5"]}, headers=HTMX)
    assert taken.text.lstrip().startswith("<section")
    assert "Put 0.8 and 0.5 mm back in stock" in taken.text
    back = client.post(at("gate-packers-back", number), headers=HTMX)
    assert "Work it out" in back.text


@pytest.mark.parametrize(("sent", "status"), [([], 422), (["thick"], 422), (["0.3"], 409), (["0.8", "0.8"], 409)])
def test_what_is_no_stack_of_the_stock_takes_nothing(client, gate, sent, status):
    url = at("gate-packers", gate.visit.number)
    part = client.post(url, {"packer_mm": sent}, headers=HTMX)
    assert part.status_code == status
    assert 'role="alert"' in part.text
    page = client.post(url, {"packer_mm": sent}, follow=True)
    assert page.redirect_chain == [(at("gate", gate.visit.number), 302)]
    assert "said error" in page.text
    assert [row.count for row in PackerStock.objects.all()] == [1, 1]


def test_unknown_machines_and_visits_are_not_found(client, mechanic):
    assert client.get(at("machine-degrees", 999)).status_code == 404
    assert client.get(at("machine-packers", 999)).status_code == 404
    assert client.post(at("gate-packers", 999)).status_code == 404
