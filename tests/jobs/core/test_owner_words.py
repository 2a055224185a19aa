import pytest

from garage.core import states
from jobs.core.owner_words import DO_NOT_RUN, next_words


@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_every_state_says_what_happens_next(state):
    assert next_words(state, has_time=True, route="", sheet_sent=False)[-1].endswith(".")


def test_what_keeps_from_harm_stands_first_until_the_machine_is_here():
    said = next_words(states.TO_PUT_RIGHT, has_time=False, route="do-not-run", sheet_sent=True)
    assert said[0] == DO_NOT_RUN
    assert DO_NOT_RUN not in next_words(states.HERE, has_time=False, route="do-not-run", sheet_sent=True)


def test_a_booked_visit_without_a_time_says_so():
    said = next_words(states.BOOKED, has_time=False, route="", sheet_sent=True)
    assert said == ("No time is agreed yet: we ring or write to you.",)


def test_once_the_card_is_closed_nobody_reads_that_work_goes_on():
    said = next_words(states.ON_THE_BENCH, has_time=True, route="", sheet_sent=True, work_done=True)
    assert said == ("The work is done. We tell you as soon as you can collect it.",)
    assert next_words(states.READY, has_time=True, route="", sheet_sent=True, work_done=True)[0].startswith("You can")
