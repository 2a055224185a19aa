from datetime import timedelta

import pytest
from django.utils import timezone

from garage.changes.people import attempts, log_ins
from garage.core.errors import Refused
from garage.models.attempts import Attempt
from tests.factories import garage as make
from tests.sentences import refuses

pytestmark = pytest.mark.django_db
PASSWORD = "ambleford-lane-7"


@pytest.fixture
def person():
    return make.person(username="robin", password=PASSWORD)


def prove(password=PASSWORD, name="robin", address="a"):
    return log_ins.prove(name, password, address_key=address, browser="a browser", now=timezone.now())


def wrong(times, **given):
    for number in range(times):
        with pytest.raises(Refused):
            prove(f"wrong {number}", **given)


def test_the_right_password_proves_the_person(person):
    assert prove() == person


def test_unknown_name_and_wrong_password_get_the_same_sentence(person):
    said = []
    for name in ("robin", "nobody"):
        with pytest.raises(Refused) as caught:
            prove("wrong", name=name)
        said.append(caught.value.sentence)
    assert said[0] == said[1]


def test_former_staff_cannot_log_in(person):
    person.is_active = False
    person.save()
    with pytest.raises(Refused):
        prove()


def test_after_too_many_wrong_ones_the_right_one_is_not_looked_at_until_later(person):
    wrong(log_ins.MOST_WRONG_FOR_A_NAME)
    with pytest.raises(log_ins.TooOften):
        prove()
    Attempt.objects.update(at=timezone.now() - log_ins.WITHIN - timedelta(seconds=1))
    assert prove() == person


def test_somebody_elses_guessing_does_not_shut_the_person_out(person):
    wrong(log_ins.MOST_WRONG_FOR_A_NAME, address="elsewhere")
    assert prove() == person


def test_a_right_password_resets_the_count(person):
    for _ in range(3):
        wrong(log_ins.MOST_WRONG_FOR_A_NAME - 1)
        assert prove() == person


def test_while_five_are_being_looked_at_no_sixth_is_looked_at(person, monkeypatch):
    """Hashing takes long: whoever guesses at once must not slip in between the count and the answer."""
    looked_at = []

    def look(username, password):
        looked_at.append(password)
        with pytest.raises(Refused):
            prove(f"{password}, and at once")

    monkeypatch.setattr(log_ins, "authenticate", look)
    with pytest.raises(log_ins.WrongPassword):
        prove("wrong")
    assert len(looked_at) == log_ins.MOST_WRONG_FOR_A_NAME


def test_one_address_cannot_go_through_all_names(person):
    for _ in range(
        log_ins.MOST_WRONG_FROM_AN_ADDRESS - 1
    ):  # as wrong ones for other names leave them: hashing takes long
        attempts.tried("wrong-password", key="a", now=timezone.now())
    assert prove() == person
    wrong(1, name="nobody")
    with pytest.raises(log_ins.TooOften):
        prove()


def test_neither_name_nor_address_is_kept(person):
    wrong(1, address=attempts.hashed("192.0.2.7"))
    kept = str(list(Attempt.objects.values()))
    assert Attempt.objects.count() == 2
    assert "robin" not in kept
    assert "192.0.2.7" not in kept


def test_each_refusal_says_what_to_look_at(person):
    sentence = "That name and password don't belong together. Capital and small letters matter in both."
    for _ in range(log_ins.MOST_WRONG_FOR_A_NAME):
        with refuses(sentence, log_ins.WrongPassword):
            prove("wrong", name="Robin")
    sentence = "Too many wrong passwords from here. Wait a quarter of an hour, or ask the boss for a new one."
    with refuses(sentence, log_ins.TooOften):
        prove()


def test_a_wrong_password_counts_for_a_quarter_of_an_hour_from_when_it_was_typed(person):
    now = timezone.now()
    for _ in range(log_ins.MOST_WRONG_FOR_A_NAME):
        with pytest.raises(log_ins.WrongPassword):
            log_ins.prove("robin", "wrong", address_key="a", browser="a browser", now=now)
    with pytest.raises(log_ins.TooOften):
        log_ins.prove("robin", PASSWORD, address_key="a", browser="a browser", now=now + timedelta(minutes=15))
    later = now + timedelta(minutes=15, seconds=1)
    assert log_ins.prove("robin", PASSWORD, address_key="a", browser="a browser", now=later) == person


def test_a_right_password_leaves_the_count_of_the_address(person):
    wrong(2)
    prove()
    assert set(Attempt.objects.values_list("key", flat=True)) == {"a"}
    assert Attempt.objects.count() == 2
