"""What the owner of a visit reads about it."""

import pytest

from garage.core import states
from jobs.core.owner_words import CHOSEN, DO_NOT_RUN, NEXT, WORK_DONE, next_words


@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_every_state_says_what_happens_next(state):
    assert next_words(state, has_time=True, route="", sheet_sent=False)[-1].endswith(".")


def test_safety_comes_first_until_the_machine_is_here():
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


def test_a_booked_visit_is_thanked_for_its_check_sheet_and_others_are_not():
    said = next_words(states.BOOKED, has_time=True, route="", sheet_sent=True)
    assert said == ("Bring the machine at the time above. Your check sheet is here, thank you.",)
    assert next_words(states.BOOKED, has_time=True, route="", sheet_sent=False) == (NEXT[states.BOOKED],)
    assert next_words(states.HERE, has_time=True, route="", sheet_sent=True) == (NEXT[states.HERE],)


@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_work_is_done_only_for_a_machine_that_is_still_on_the_floor(state):
    said = next_words(state, has_time=True, route="", sheet_sent=False, work_done=True)
    on_the_floor = state in states.IN_THE_BUILDING and state != states.READY
    assert said == (WORK_DONE if on_the_floor else NEXT[state],)


def test_only_a_booked_visit_misses_its_time():
    assert next_words(states.HERE, has_time=False, route="", sheet_sent=False) == (NEXT[states.HERE],)


def test_only_what_must_not_run_is_warned_of():
    assert next_words(states.BOOKED, has_time=True, route="fix-first", sheet_sent=False) == (NEXT[states.BOOKED],)


@pytest.mark.parametrize("choice", sorted(CHOSEN))
def test_what_its_owner_chose_is_said_while_it_is_coming(choice):
    said = next_words(states.TO_PUT_RIGHT, has_time=False, route="fix-first", sheet_sent=True, choice=choice)
    assert said == (CHOSEN[choice],)
    here = next_words(states.HERE, has_time=False, route="fix-first", sheet_sent=True, choice=choice)
    assert here == (NEXT[states.HERE],)


def test_once_it_is_mended_at_home_and_has_a_new_time_it_is_booked_as_any_other():
    said = next_words(states.BOOKED, has_time=True, route="roller-ready", sheet_sent=False, choice="myself")
    assert said == (NEXT[states.BOOKED],)
