import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from garage.changes.people import owners
from garage.core.errors import BadInput, Refused
from garage.models.owners import Join, Machine, Owner
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from tests.factories import garage as make
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return make.front_desk()


@pytest.fixture
def pair():
    """One person who stands here twice, each time with a machine and a visit."""
    kept, duplicate = make.owner(name="Pat Lane"), make.owner(name="P. Lane")
    for owner in (kept, duplicate):
        make.visit(machine=make.machine(owner=owner))
    return kept, duplicate


def picture():
    """All that a join touches, as plain values."""
    return (
        list(Owner.objects.order_by("pk").values()),
        list(Machine.objects.order_by("pk").values()),
        list(Visit.objects.order_by("pk").values()),
    )


def test_joining_owners_moves_machines_and_visits_and_keeps_the_duplicate_marked(pair, by):
    kept, duplicate = pair
    owners.join_owners(kept, duplicate, by=by, now=timezone.now())
    duplicate.refresh_from_db()
    assert duplicate.joined_into == kept
    assert kept.visits.count() == kept.machines.count() == 2
    assert duplicate.visits.count() == duplicate.machines.count() == 0
    assert "joined P. Lane" in TrailRow.objects.get().did


def test_undoing_restores_exactly_what_was(pair, by):
    before = picture()
    join = owners.join_owners(*pair, by=by, now=timezone.now())
    assert picture() != before
    owners.undo_join(join, by=by, now=timezone.now())
    assert picture() == before
    assert TrailRow.objects.count() == 2


def test_rows_added_after_the_join_stay_with_the_kept_owner(pair, by):
    kept, duplicate = pair
    join = owners.join_owners(kept, duplicate, by=by, now=timezone.now())
    later = make.visit(machine=make.machine(owner=kept))
    owners.undo_join(join, by=by, now=timezone.now())
    later.refresh_from_db()
    assert later.owner == kept
    assert duplicate.visits.count() == 1


def test_a_machine_sold_on_since_is_not_taken_back_by_the_undoing(pair, by):
    kept, duplicate = pair
    machine = duplicate.machines.get()
    join = owners.join_owners(kept, duplicate, by=by, now=timezone.now())
    buyer = make.owner()
    Machine.objects.filter(pk=machine.pk).update(owner=buyer)
    owners.undo_join(join, by=by, now=timezone.now())
    machine.refresh_from_db()
    assert machine.owner == buyer


def test_joining_machines_moves_the_history_whoever_brought_it(by):
    seller, buyer = make.owner(), make.owner()
    old, new = make.machine(owner=seller), make.machine(owner=buyer)
    first, second = make.visit(machine=old), make.visit(machine=new)
    before = picture()
    join = owners.join_machines(new, old, by=by, now=timezone.now())
    assert set(new.visits.all()) == {first, second}
    first.refresh_from_db()
    assert first.owner == seller
    owners.undo_join(join, by=by, now=timezone.now())
    assert picture() == before


def test_nothing_is_joined_to_itself_or_twice(pair, by):
    kept, duplicate = pair
    with pytest.raises(Refused, match="already one record"):
        owners.join_owners(kept, kept, by=by, now=timezone.now())
    owners.join_owners(kept, duplicate, by=by, now=timezone.now())
    for one, other in ((make.owner(), duplicate), (duplicate, make.owner())):
        with pytest.raises(Refused, match="joined to another already"):
            owners.join_owners(one, other, by=by, now=timezone.now())


def test_joins_are_undone_in_the_order_they_can_be(pair, by):
    kept, duplicate = pair
    before = picture()
    third = make.owner()
    first = owners.join_owners(kept, duplicate, by=by, now=timezone.now())
    second = owners.join_owners(third, kept, by=by, now=timezone.now())
    with pytest.raises(Refused, match="undo that first"):
        owners.undo_join(first, by=by, now=timezone.now())
    owners.undo_join(second, by=by, now=timezone.now())
    owners.undo_join(first, by=by, now=timezone.now())
    third.delete()
    assert picture() == before


def test_an_undo_is_not_done_twice_but_the_two_can_be_joined_again(pair, by):
    join = owners.join_owners(*pair, by=by, now=timezone.now())
    owners.undo_join(join, by=by, now=timezone.now())
    with pytest.raises(Refused, match="already been undone"):
        owners.undo_join(join, by=by, now=timezone.now())
    owners.join_owners(*pair, by=by, now=timezone.now())
    assert Join.objects.filter(undone_at=None).count() == 1


def test_the_database_itself_refuses_a_second_open_join_of_one_record(pair, by):
    join = owners.join_owners(*pair, by=by, now=timezone.now())
    with pytest.raises(IntegrityError), transaction.atomic():
        Join.objects.create(what="owner", kept_id=99, joined_id=join.joined_id, moved={}, at=join.at, by=by)


def contact(owner, by, **given):
    values = {"name": owner.name, "email": owner.email, "telephone": owner.telephone, "address": ""}
    values |= {"is_business": owner.is_business, "language": owner.language}
    owners.change_contact(owner, by=by, now=timezone.now(), **(values | given))


def test_a_contact_is_corrected_with_before_and_after_in_the_trail(by):
    owner = make.owner(telephone="07700 900123")
    contact(owner, by, telephone="07700 900124")
    owner.refresh_from_db()
    assert owner.telephone == "07700 900124"
    assert TrailRow.objects.get().detail == {"changed": {"telephone": ["07700 900123", "07700 900124"]}}


def test_saving_the_same_contact_leaves_no_trail(by):
    contact(make.owner(), by)
    assert not TrailRow.objects.exists()


@pytest.mark.parametrize("wrong", [{"email": "nowhere"}, {"email": "", "telephone": ""}])
def test_a_contact_that_reaches_nobody_is_not_saved(by, wrong):
    owner = make.owner()
    with pytest.raises(BadInput):
        contact(owner, by, **wrong)
    assert Owner.objects.filter(pk=owner.pk, email=owner.email, telephone=owner.telephone).exists()


def test_a_contact_is_corrected_in_all_its_fields_and_noted(by):
    owner, now = make.owner(name="Pat", email="pat@example.org", telephone="07700 900123"), timezone.now()
    new = {"name": "Pat Lane", "email": "lane@example.org", "telephone": "", "address": "1 Mill Row"}
    new |= {"is_business": True, "language": "de"}
    owners.change_contact(owner, by=by, now=now, **new)
    changed = {
        "name": ["Pat", "Pat Lane"],
        "email": ["pat@example.org", "lane@example.org"],
        "telephone": ["07700 900123", ""],
        "address": ["", "1 Mill Row"],
        "is_business": ["False", "True"],
        "language": ["en", "de"],
    }
    check_noted("changed the contact", by=by, at=now, about=f"owner {owner.pk}", changed=changed)
    owner.refresh_from_db()
    assert {name: getattr(owner, name) for name in new} == new


def test_an_owner_has_a_telephone_or_a_right_address(by):
    owner = make.owner()
    contact(owner, by, email="")
    with refuses("Telephone is ''; allowed is a number, when there is no email address.", BadInput):
        contact(owner, by, email="", telephone="")
    with refuses("Email address is 'nowhere'; allowed is an address such as name@example.org.", BadInput):
        contact(owner, by, email="nowhere")


def test_joining_and_parting_owners_are_noted_with_what_moved(pair, by):
    kept, duplicate = pair
    moved = {"machines": [duplicate.machines.get().pk], "visits": [duplicate.visits.get().pk]}
    now, about = timezone.now(), f"owner {kept.pk}"
    join = owners.join_owners(kept, duplicate, by=by, now=now)
    check_noted(f"joined {duplicate} (owner {duplicate.pk}) to {kept}", by=by, at=now, about=about, **moved)
    join.refresh_from_db()
    assert (join.what, join.kept_id, join.joined_id, join.moved) == ("owner", kept.pk, duplicate.pk, moved)
    assert (join.at, join.by, join.undone_at) == (now, by, None)
    owners.undo_join(join, by=by, now=now)
    check_noted(f"parted {duplicate} (owner {duplicate.pk}) from {kept} again", by=by, at=now, about=about, **moved)
    join.refresh_from_db()
    assert join.undone_at == now


def test_joining_and_parting_machines_are_noted_with_what_moved(by):
    kept, duplicate = make.machine(words="Corrick 185"), make.machine(words="Corrick")
    moved, now, about = {"visits": [make.visit(machine=duplicate).pk]}, timezone.now(), f"machine {kept.pk}"
    join = owners.join_machines(kept, duplicate, by=by, now=now)
    check_noted(f"joined {duplicate} (machine {duplicate.pk}) to {kept}", by=by, at=now, about=about, **moved)
    owners.undo_join(join, by=by, now=now)
    check_noted(f"parted {duplicate} (machine {duplicate.pk}) from {kept} again", by=by, at=now, about=about, **moved)


def test_a_visit_moved_on_since_is_not_taken_back_by_the_parting_of_machines(by):
    kept, duplicate, third = make.machine(), make.machine(), make.machine()
    visit = make.visit(machine=duplicate)
    join = owners.join_machines(kept, duplicate, by=by, now=timezone.now())
    Visit.objects.filter(pk=visit.pk).update(machine=third)
    owners.undo_join(join, by=by, now=timezone.now())
    visit.refresh_from_db()
    assert visit.machine == third


def test_each_refusal_of_a_join_names_the_record(pair, by):
    kept, duplicate = pair
    now, third = timezone.now(), make.owner(name="Third")
    with refuses("These are already one record."):
        owners.join_owners(kept, kept, by=by, now=now)
    join = owners.join_owners(kept, duplicate, by=by, now=now)
    with refuses(f"{duplicate} has been joined to another already."):
        owners.join_owners(third, duplicate, by=by, now=now)
    last = owners.join_owners(third, kept, by=by, now=now)
    with refuses(f"{kept} has itself been joined to another since: undo that first."):
        owners.undo_join(join, by=by, now=now)
    owners.undo_join(last, by=by, now=now)
    with refuses("This joining has already been undone."):
        owners.undo_join(last, by=by, now=now)
