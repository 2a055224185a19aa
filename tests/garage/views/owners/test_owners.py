import pytest
from django.urls import reverse

from garage.models.owners import Join, Machine
from garage.reads import links
from tests.factories import garage as make
from tests.factories.addresses import personal_address

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair():
    make.shop()
    kept = make.owner(name="Pat Lane", email="pat@example.org")
    duplicate = make.owner(name="P. Lane", email="pat@example.org", telephone="01632 960002")
    for owner in (kept, duplicate):
        make.visit(machine=make.machine(owner=owner))
    return kept, duplicate


@pytest.fixture
def desk(client):
    client.force_login(make.front_desk())
    return client


def page(client, name, *args, **query):
    answer = client.get(reverse(name, args=args), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_owners_are_found_by_words(desk, pair):
    said = page(desk, "owners", words="pat 07700900123")
    assert reverse("owner", args=[pair[0].id]) in said
    assert reverse("owner", args=[pair[1].id]) not in said
    assert "Nobody matches “zebra”." in page(desk, "owners", words="zebra")


def test_an_owners_page_shows_machines_visits_and_what_was_changed(desk, pair):
    owner = pair[0]
    values = {
        "name": "Pat Lane",
        "email": "pat@example.net",
        "telephone": "07700 900199",
        "address": "",
        "language": "en",
    }
    answer = desk.post(reverse("owner", args=[owner.id]), values, follow=True)
    said = answer.content.decode()
    owner.refresh_from_db()
    assert (owner.email, owner.telephone) == ("pat@example.net", "07700 900199")
    assert "changed the contact" in said
    assert "Corrick 185" in said
    assert reverse("visit", args=[owner.visits.get().number]) in said


def test_a_wrong_address_is_reported_at_its_field_and_nothing_typed_is_lost(desk, pair):
    values = {
        "name": "Pat Longer Lane",
        "email": "nowhere",
        "telephone": "07700 900199",
        "address": "",
        "language": "en",
    }
    answer = desk.post(reverse("owner", args=[pair[0].id]), values)
    said = answer.content.decode()
    assert answer.status_code == 422
    assert "Email address is &#x27;nowhere&#x27;; allowed is" in said
    assert "Pat Longer Lane" in said
    pair[0].refresh_from_db()
    assert pair[0].name == "Pat Lane"


def test_duplicates_are_suggested_joined_and_parted_again(desk, pair):
    kept, duplicate = pair
    assert "The same email address" in page(desk, "owners-doubles")
    answer = desk.post(reverse("owners-join"), {"kept": kept.id, "duplicate": duplicate.id}, follow=True)
    assert "Joined. Pat Lane now has" in answer.content.decode()
    assert kept.visits.count() == 2
    assert "Joined to" in page(desk, "owner", duplicate.id)
    desk.post(reverse("join-undo", args=[Join.objects.get().id]))
    assert kept.visits.count() == duplicate.visits.count() == 1


def test_a_link_given_before_the_join_still_opens_its_own_visit_only(client, desk, pair):
    kept, duplicate = pair
    own, other = duplicate.visits.get(), kept.visits.get()
    desk.post(reverse("owners-join"), {"kept": kept.id, "duplicate": duplicate.id})
    said = page(client, "owner-visit", links.token(own, "visit"))
    assert str(own.number) in said
    assert personal_address(other, "visit") not in said


def test_joining_a_record_to_itself_is_refused_and_said(desk, pair):
    answer = desk.post(reverse("owners-join"), {"kept": pair[0].id, "duplicate": pair[0].id})
    assert answer.status_code == 409
    assert "These are already one record." in answer.content.decode()


def test_an_impossible_undo_is_refused(desk, pair):
    desk.post(reverse("owners-join"), {"kept": pair[0].id, "duplicate": pair[1].id})
    undo = reverse("join-undo", args=[Join.objects.get().id])
    desk.post(undo)
    assert "already been undone" in desk.post(undo, follow=True).content.decode()


def test_machines_with_the_same_name_are_joined(desk, pair):
    owner = pair[0]
    first, second = owner.machines.get(), make.machine(owner=owner)
    assert "has several with the same name" in page(desk, "owners-doubles")
    desk.post(reverse("machines-join"), {"kept": second.id, "duplicate": first.id})
    assert second.visits.count() == 1
    assert Machine.objects.get(pk=first.pk).joined_into == second


def test_a_mechanic_joins_nothing(client, pair):
    client.force_login(make.person())
    for name in ("owners-join", "machines-join"):
        assert client.post(reverse(name), {"kept": pair[0].id, "duplicate": pair[1].id}).status_code == 403
    assert client.get(reverse("owners-doubles")).status_code == 403
    assert not Join.objects.exists()


MEASURES = {"words": "Corrick 185", "stroke_mm": "54", "rod_mm": "110", "fires_per_turn": "1.0", "spec_btdc": "17"}


def test_what_is_known_of_a_machine_is_put_down(desk, pair):
    machine, kind = pair[0].machines.get(), make.machine_kind()
    answer = desk.post(reverse("machine-measures", args=[machine.id]), MEASURES | {"kind": kind.id})
    assert answer.status_code == 302
    machine.refresh_from_db()
    assert (machine.kind, machine.stroke_mm, machine.fires_per_turn) == (kind, 54, 1.0)


def test_an_impossible_rod_is_reported_at_its_field(desk, pair):
    machine = pair[0].machines.get()
    answer = desk.post(reverse("machine-measures", args=[machine.id]), MEASURES | {"rod_mm": "25"})
    assert answer.status_code == 422
    assert "Rod, mm is 25; allowed is longer than half the stroke, 27." in answer.content.decode()


def test_unknown_owners_and_machines_are_not_found(desk, pair):
    for name in ("owner", "machine-measures"):
        assert desk.get(reverse(name, args=[9999])).status_code == 404
