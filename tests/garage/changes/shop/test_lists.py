from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.shop import lists
from garage.core.errors import BadInput
from garage.core.keeping.periods import LISTS
from garage.core.lists.plan import LineCounts
from garage.models.actors import SYSTEM
from garage.models.list_files import ListFile
from garage.models.owners import Machine, MachineKind, Owner
from garage.models.trail import TrailRow
from garage.reads.lists import planned
from tests.factories import garage as make
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
KINDS, OWNERS = ListFile.KINDS, ListFile.OWNERS
TWO_KINDS = b"make;model;stroke_mm\nCorrick;185;54\nTarnhow;250;60\n"
ONE_BAD = b"make;model;stroke_mm\nCorrick;185;54\nTarnhow;250;x\n"
TWO_OWNERS = (
    b"name;email;machine\nAnn;ann@example.org;Corrick 185\nBob;bob@example.org;\nAnn;ann@example.org;Ostler 110\n"
)


@pytest.fixture(autouse=True)
def shop():
    return make.shop()


@pytest.fixture
def now():
    return timezone.now()


def take(what, raw, now, *, seen=None, only_good=False):
    return lists.take(what, raw, name="list.csv", seen=seen, only_good=only_good, by=SYSTEM, now=now)


def test_kinds_are_taken_in_and_the_second_time_they_are_the_same(now):
    take(KINDS, TWO_KINDS, now)
    assert [str(kind) for kind in MachineKind.objects.all()] == ["Corrick 185", "Tarnhow 250"]
    check_noted(
        "took in the list list.csv: 2 new, 0 changed, 0 the same, 0 refused",
        by=SYSTEM,
        at=now,
        about="the shop",
        what=KINDS,
    )
    assert planned(KINDS, TWO_KINDS).counts == LineCounts(same=2)
    take(KINDS, TWO_KINDS, now)
    assert MachineKind.objects.count() == 2


def test_a_changed_kind_is_changed_and_noted(now):
    take(KINDS, TWO_KINDS, now)
    take(KINDS, b"make;model;stroke_mm\nCorrick;185;56\n", now)
    assert MachineKind.objects.get(make="Corrick").stroke_mm == 56
    assert TrailRow.objects.filter(did="changed the machine kind Corrick 185").count() == 1


def test_owners_are_taken_in_with_their_machines(now):
    take(OWNERS, TWO_OWNERS, now)
    ann = Owner.objects.get(name="Ann")
    assert ann.first_seen_at == now
    assert [machine.words for machine in ann.machines.all()] == ["Corrick 185", "Ostler 110"]
    assert Owner.objects.count() == 2
    assert planned(OWNERS, TWO_OWNERS).counts == LineCounts(same=3)


def test_a_known_owner_is_filled_in_and_keeps_the_rest(now):
    take(OWNERS, TWO_OWNERS, now)
    take(OWNERS, b"name;email;telephone;machine;year\nAnnie;ann@example.org;07700 900123;Corrick 185;1981\n", now)
    ann = Owner.objects.get(name="Ann")
    assert ann.telephone == "07700 900123"
    assert Machine.objects.get(owner=ann, words="Corrick 185").year == 1981
    assert Owner.objects.count() == 2
    assert (
        TrailRow.objects.filter(about=f"owner {ann.pk}").get().did == "filled in what was missing of Ann, from a list"
    )


def test_one_who_was_joined_to_another_is_that_one(now):
    kept = make.owner(email="kept@example.org")
    make.owner(email="old@example.org", joined_into=kept)
    take(OWNERS, b"name;email;machine\nAnn;old@example.org;Corrick 185\n", now)
    assert Machine.objects.get(words="Corrick 185").owner == kept


def test_while_a_line_is_refused_nothing_is_written(now):
    with refuses("Nothing was taken in: 1 line cannot be used. Mend it, or take the good ones."):
        take(KINDS, ONE_BAD, now)
    with refuses("Nothing was taken in: 2 lines cannot be used. Mend them, or take the good ones."):
        take(KINDS, ONE_BAD + b"Ostler;110;x\n", now)
    assert not MachineKind.objects.exists()
    take(KINDS, ONE_BAD, now, only_good=True)
    assert [str(kind) for kind in MachineKind.objects.all()] == ["Corrick 185"]


def test_what_has_changed_since_the_look_is_said_and_nothing_is_written(now):
    row = lists.keep(what=KINDS, name="list.csv", content=TWO_KINDS, by=make.boss(), now=now)
    seen = planned(KINDS, TWO_KINDS).counts
    MachineKind.objects.create(make="Corrick", model="185", stroke_mm=54)
    with refuses(
        "Nothing was taken in: something has changed since you looked. "
        "Then: 2 new, 0 changed, 0 the same, 0 refused. Now: 1 new, 0 changed, 1 the same, 0 refused. "
        "Look at it again below."
    ):
        lists.take_kept(row, seen=seen, only_good=False, by=row.by, now=now)
    assert MachineKind.objects.count() == 1
    lists.take_kept(row, seen=planned(KINDS, TWO_KINDS).counts, only_good=False, by=row.by, now=now)
    assert MachineKind.objects.count() == 2
    assert not ListFile.objects.exists()


def test_what_cannot_be_read_is_not_kept(now):
    with pytest.raises(BadInput):
        lists.keep(what=KINDS, name="list.csv", content=b"colour\nred\n", by=make.boss(), now=now)
    assert not ListFile.objects.exists()


def test_a_list_is_forgotten_after_a_day(now):
    boss = make.boss()
    lists.keep(what=KINDS, name="old.csv", content=TWO_KINDS, by=boss, now=now - LISTS.length - timedelta(seconds=1))
    lists.keep(what=KINDS, name="new.csv", content=TWO_KINDS, by=boss, now=now)
    lists.sweep(now=now)
    assert [row.name for row in ListFile.objects.all()] == ["new.csv"]


def test_two_thousand_lines_are_a_few_dozen_queries(now, django_assert_max_num_queries):
    rows = "".join(f"Owner {n};owner{n}@example.org;Corrick {n}\n" for n in range(2000))
    with django_assert_max_num_queries(77):
        take(OWNERS, f"name;email;machine\n{rows}".encode(), now)
    assert (Owner.objects.count(), Machine.objects.count()) == (2000, 2000)
