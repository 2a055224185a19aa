from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.people.log_ins import TooOften
from garage.changes.shop import start_code
from garage.changes.shop.begin import begin, begin_with_code
from garage.core.errors import BadInput
from garage.core.letting_in.start_code import COUNTS_FOR
from garage.models.actors import STRANGER
from garage.models.people import Person
from garage.models.shop import Shop, Station, VisitKind
from garage.models.start_code import StartCode
from tests.factories import garage as make
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
WHERE = {"address_key": "here", "browser": "Firefox on Linux"}
BOSS = {"username": "jo", "first_name": "Jo", "password": "ambleford-lane-7"}
WRONG = "AAAA-AAAA-AAAA"


def first_log_in(code, *, now, **changed):
    return begin_with_code(code, now=now, **WHERE | BOSS | changed)


def test_with_the_code_the_boss_begins_with_an_empty_garage_that_is_not_open():
    now = timezone.now()
    code = start_code.renew(now=now)
    boss = first_log_in(code.lower().replace("-", " "), now=now)
    assert (boss.username, boss.role, Person.objects.count()) == ("jo", Person.BOSS, 1)
    shop = Shop.objects.get()
    assert (shop.name, shop.is_open, shop.labour_per_hour) == ("", False, 0)
    assert not Station.objects.exists()
    assert not VisitKind.objects.exists()
    check_noted("set up the garage", by=boss, at=now, about="the shop")


def test_the_code_itself_is_kept_nowhere():
    code = start_code.renew(now=timezone.now())
    row = StartCode.objects.get()
    assert code not in str(vars(row))
    assert code.replace("-", "") not in str(vars(row))
    assert len(row.code_hash) == 64


def test_the_next_start_makes_another_code_and_the_old_one_is_dead():
    now = timezone.now()
    old = start_code.renew(now=now)
    new = start_code.renew(now=now)
    assert old != new
    with pytest.raises(BadInput, match="started last"):
        first_log_in(old, now=now)
    assert first_log_in(new, now=now).is_boss


def test_a_code_counts_once():
    now = timezone.now()
    code = start_code.renew(now=now)
    first_log_in(code, now=now)
    assert not StartCode.objects.exists()
    with refuses("This garage is already set up: the boss adds people under The shop, people."):
        first_log_in(code, now=now, username="other")
    assert Person.objects.count() == 1


def test_a_code_that_is_a_day_old_is_refused_and_the_sentence_says_what_helps():
    now = timezone.now()
    code = start_code.renew(now=now)
    with refuses("That code was made more than a day ago. Start Tickover again: it prints a new one."):
        first_log_in(code, now=now + COUNTS_FOR)
    assert not Person.objects.exists()


def test_a_wrong_code_is_said_with_what_is_allowed_and_noted():
    now = timezone.now()
    start_code.renew(now=now)
    with refuses(
        f"Code is '{WRONG}'; allowed is the code in the terminal in which Tickover was started last.", BadInput
    ):
        first_log_in(WRONG, now=now)
    check_noted("gave a wrong code for the first log-in, with Firefox on Linux", by=STRANGER, at=now, about="the shop")


def test_a_weak_password_spends_nothing():
    now = timezone.now()
    code = start_code.renew(now=now)
    with pytest.raises(BadInput, match="Password"):
        first_log_in(code, now=now, password="12345678")
    assert not Shop.objects.exists()
    assert first_log_in(code, now=now).is_boss


def test_after_ten_wrong_codes_from_one_address_even_the_right_one_is_not_looked_at():
    now = timezone.now()
    code = start_code.renew(now=now)
    for _ in range(start_code.MOST_WRONG_FROM_AN_ADDRESS):
        with pytest.raises(BadInput):
            first_log_in(WRONG, now=now)
    with refuses("Too many wrong codes. Wait a quarter of an hour, or start Tickover again for a new code.", TooOften):
        first_log_in(code, now=now)
    assert first_log_in(code, now=now, address_key="elsewhere").is_boss


def test_after_fifty_from_anywhere_nobody_may_try_until_the_quarter_is_over():
    now = timezone.now()
    code = start_code.renew(now=now)
    for n in range(start_code.MOST_WRONG_IN_ALL):
        with pytest.raises(BadInput):
            first_log_in(WRONG, now=now, address_key=f"address {n}")
    with pytest.raises(TooOften):
        first_log_in(code, now=now, address_key="another")
    assert first_log_in(code, now=now + start_code.WITHIN + timedelta(seconds=1)).is_boss


def test_a_new_start_lets_everybody_try_again():
    now = timezone.now()
    start_code.renew(now=now)
    for _ in range(start_code.MOST_WRONG_FROM_AN_ADDRESS):
        with pytest.raises(BadInput):
            first_log_in(WRONG, now=now)
    assert first_log_in(start_code.renew(now=now), now=now).is_boss


@pytest.mark.parametrize("there", [make.boss, make.shop])
def test_a_garage_with_a_person_or_a_shop_gets_no_code(there):
    start_code.renew(now=timezone.now())
    there()
    assert start_code.renew(now=timezone.now()) == ""
    assert not StartCode.objects.exists()


def test_the_command_shuts_the_door_too():
    now = timezone.now()
    code = start_code.renew(now=now)
    begin(
        garage="Quarry Lane",
        email="garage@example.com",
        telephone="01632 960100",
        log_in_name="boss",
        password="ambleford-lane-7",
        now=now,
    )
    assert not StartCode.objects.exists()
    assert not Shop.objects.get().is_open
    with refuses(start_code.ALREADY_SET_UP):
        first_log_in(code, now=now)
