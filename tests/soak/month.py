"""A month of a garage at random: who does something next, and how much time passes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from tests.soak import money, owners, people
from tests.soak.garage import BEGINS, SoakGarage

PACES = {"test": (10, 30, 60, 120), "bench": (1, 2, 5, 10, 20, 40)}  # minutes from one deed to the next
OFTEN: dict[Callable[[SoakGarage], bool], int] = {  # how often of all
    owners.books_online: 4,
    owners.confirms: 8,
    owners.fills_the_sheet: 6,
    owners.moves: 2,
    owners.picks_a_time: 4,
    owners.leaves_it_with_the_garage: 4,
    owners.calls_off: 1,
    owners.answers_an_offer: 3,
    owners.answers_what_was_asked: 3,
    owners.joins_standby: 2,
    owners.presses_what_is_there: 3,
    people.desk_books: 2,
    people.desk_takes_in: 8,
    people.desk_phones: 3,
    money.desk_takes_a_deposit: 5,
    money.desk_gives_a_deposit_back: 3,
    money.boss_keeps_a_deposit: 2,
    people.desk_gives_a_time: 3,
    people.desk_moves: 1,
    people.desk_calls_off: 1,
    people.desk_says_it_did_not_come: 2,
    people.boss_judges: 6,
    people.mechanic_goes_through_the_gate: 8,
    people.mechanic_works_by_the_day_sheet: 16,
    people.mechanic_works_on_the_card: 4,
    people.boss_asks_for_more_work: 2,
    people.boss_estimates: 2,
    people.boss_closes_a_card: 8,
    money.desk_invoices: 8,
    money.desk_is_paid: 6,
    money.boss_credits: 2,
    money.desk_sells_over_the_counter: 1,
    people.desk_hands_it_over: 8,
    people.anybody_presses_what_is_there: 5,
    people.anybody_works_on_the_day_sheet: 3,
    people.boss_erases_an_owner: 1,
}


def lives(garage: SoakGarage, days: int, reaches: frozenset[str] = frozenset()) -> None:
    """So many days, and up to as many more until each of those states was reached and each of those deeds was done. A
    deed that finds nothing to do leaves its turn to another.
    """
    deeds, weights = list(OFTEN), list(OFTEN.values())
    until, at_last = BEGINS + timedelta(days=days), BEGINS + timedelta(days=2 * days)
    while garage.now < until or (garage.now < at_last and garage.has_missed(reaches)):
        for deed in garage.chance.choices(deeds, weights, k=5):
            if garage.does(deed.__name__, deed):
                break
        garage.time_passes()
    garage.watch.looks_at_all()
    garage.watch.looks_at_pages()
