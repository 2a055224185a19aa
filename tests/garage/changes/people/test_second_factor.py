"""The second factor of a log-in: each code counts once, wrong ones are counted, and nothing that is kept opens it."""

from datetime import timedelta

import pyotp
import pytest
from django.utils import timezone

from garage.changes.people import log_ins, second_factor
from garage.core.errors import Refused
from garage.core.letting_in.one_time_codes import STEP_S
from garage.models.actors import SYSTEM
from garage.models.second_factor import SecondFactor, SpareCode
from garage.models.trail import TrailRow
from garage.reads.second_factor import kept_secret, new_secret, spares_left
from tests.factories import garage as make
from tests.sentences import check_noted

pytestmark = pytest.mark.django_db
SEED = "a-seed-of-no-chance"


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def boss():
    return make.boss(first_name="Jo")


def code_of(seed, now, steps=0):
    return pyotp.TOTP(new_secret(seed)).generate_otp(int(now.timestamp() // STEP_S) + steps)


@pytest.fixture
def spares(boss, now):
    return second_factor.set_up(boss, seed=SEED, code=code_of(SEED, now), but=None, now=now)


def prove(person, code, now, address="a"):
    second_factor.prove(person, code, address_key=address, browser="Firefox", now=now)


def check_refused(person, code, now):
    with pytest.raises(second_factor.WrongCode):
        prove(person, code, now)


def test_the_next_code_is_right_and_counts_once(boss, spares, now):
    code = code_of(SEED, now, 1)
    prove(boss, code, now)
    check_refused(boss, code, now)
    later = now + timedelta(seconds=STEP_S)
    check_refused(boss, code, later)
    prove(boss, code_of(SEED, later, 1), later)


def test_the_code_that_set_it_up_is_taken_already(boss, spares, now):
    check_refused(boss, code_of(SEED, now), now)


def test_a_code_of_which_another_was_quicker_is_refused(boss, spares, now):
    """The row as it was read no longer holds: only the database's own word counts."""
    factor = SecondFactor.objects.get()
    code = code_of(SEED, now, 1)
    assert second_factor._takes_code(factor, code, now=now)
    assert not second_factor._takes_code(factor, code, now=now)


def test_a_wrong_code_sets_nothing_up(boss, now):
    with pytest.raises(second_factor.WrongCode):
        second_factor.set_up(boss, seed=SEED, code=code_of("another", now), but=None, now=now)
    assert not SecondFactor.objects.exists()


def test_each_spare_code_counts_once_in_the_place_of_a_code(boss, spares, now):
    assert len(set(spares)) == 8
    for number, spare in enumerate(spares, 1):
        prove(boss, spare.replace(" ", "-"), now)
        check_noted(f"used spare code {number}", by=boss, at=now, about=f"log-in {boss.pk}")
        check_refused(boss, spare, now)
    assert spares_left(SecondFactor.objects.get()) == 0


def test_a_spare_code_of_another_number_or_person_is_wrong(boss, spares, now):
    check_refused(boss, f"{int(spares[0][0]) + 1}{spares[0][1:]}", now)
    check_refused(make.person(), spares[0], now)
    assert spares_left(SecondFactor.objects.get()) == 8


def test_wrong_codes_are_counted_by_the_person_wherever_they_come_from(boss, spares, now):
    for number in range(log_ins.MOST_WRONG_FOR_A_NAME):
        with pytest.raises(second_factor.WrongCode):
            prove(boss, "000000", now, address=f"address {number}")
    with pytest.raises(log_ins.TooOften):
        prove(boss, code_of(SEED, now, 1), now, address="one more")
    later = now + log_ins.WITHIN + timedelta(seconds=1)
    prove(boss, code_of(SEED, later, 1), later)
    assert TrailRow.objects.filter(did="gave a wrong code with Firefox").count() == log_ins.MOST_WRONG_FOR_A_NAME


def test_setting_it_up_again_ends_the_one_before_and_its_spare_codes(boss, spares, now):
    later = now + timedelta(minutes=5)
    second_factor.set_up(boss, seed="anew", code=code_of("anew", later), but=None, now=later)
    check_refused(boss, spares[0], later)
    check_refused(boss, code_of(SEED, later, 1), later)
    prove(boss, code_of("anew", later, 1), later)
    assert (SecondFactor.objects.count(), SpareCode.objects.count()) == (1, 8)


def test_what_is_kept_opens_nothing_without_the_garages_key(boss, spares, now, settings):
    """Whoever has the database alone has neither the secret nor a spare code."""
    factor = SecondFactor.objects.get()
    secret, rows = kept_secret(factor), str([*SecondFactor.objects.values(), *SpareCode.objects.values()])
    assert secret not in rows
    assert not [spare for spare in spares if spare.replace(" ", "")[1:] in rows]
    settings.SECRET_KEY = "another"
    assert kept_secret(factor) is None


def test_after_a_change_of_the_key_it_goes_on_and_once_the_old_one_is_forgotten_spare_codes_do(
    boss, spares, now, settings
):
    code, before = code_of(SEED, now, 1), settings.SECRET_KEY
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "another", ["one between", before]
    prove(boss, code, now)
    settings.SECRET_KEY_FALLBACKS = []
    later = now + timedelta(minutes=5)
    check_refused(boss, code_of(SEED, later), later)
    prove(boss, spares[0], later)


def test_at_the_machine_it_is_forgotten_and_tries_count_anew(boss, spares, now):
    for _ in range(log_ins.MOST_WRONG_FOR_A_NAME):
        check_refused(boss, "000000", now)
    second_factor.forget_at_the_machine(boss, now=now)
    did = "forgot the second factor of Jo, by the command on the machine itself"
    check_noted(did, by=SYSTEM, at=now, about=f"log-in {boss.pk}")
    check_refused(boss, code_of(SEED, now, 1), now)
    with pytest.raises(Refused, match="Jo has no second factor"):
        second_factor.forget_at_the_machine(boss, now=now)
