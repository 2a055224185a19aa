"""What became of minutes that were given back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from garage.core.selling.freed_minutes import MinutesShare, PieceFreed, gone_min, what_became

NOW = datetime(2026, 11, 25, 18, tzinfo=UTC)
TEN = NOW.replace(hour=10)
FREED = NOW - timedelta(days=2)
H = timedelta(hours=1)


def piece(begins_at=TEN, *, place=1, freed_at=FREED, pence=600.0, at="roller") -> PieceFreed:
    return PieceFreed((at, place, begins_at), freed_at, pence)


def became(freed, sold=None, worked=None, now=NOW):
    found = what_became(freed, sold or {}, worked or {}, now)
    shares = (found.sold_again, found.in_the_building, found.lost, found.still_open)
    assert sum(share.minutes for share in shares) == 5 * len(freed)
    return [share.minutes for share in shares]


def test_what_nobody_took_is_lost_once_it_is_past():
    assert became([piece()]) == [0, 0, 5, 0]
    assert became([piece()], now=TEN + H) == [0, 0, 5, 0]
    assert became([piece()], now=TEN) == [0, 0, 0, 5]


def test_what_somebody_has_is_sold_again_also_ahead_of_its_time():
    assert became([piece()], {piece().spot: None}) == [5, 0, 0, 0]
    assert became([piece()], {piece().spot: TEN - H}, now=FREED) == [5, 0, 0, 0]


def test_what_a_machine_has_that_was_here_when_it_came_free_was_given_to_the_building():
    assert became([piece()], {piece().spot: FREED}) == [0, 5, 0, 0]
    assert became([piece()], {piece().spot: FREED + H}) == [5, 0, 0, 0]


def test_so_was_what_a_machine_without_a_time_worked_in_and_each_is_counted_once():
    two = [piece(), piece(place=2)]
    assert became(two, worked={("roller", TEN): 1}) == [0, 5, 5, 0]
    assert became(two, worked={("roller", TEN): 2}) == [0, 10, 0, 0]
    assert became(two, worked={("bench", TEN): 2}) == [0, 0, 10, 0]


def test_what_was_given_back_twice_had_been_sold_in_between():
    twice = [piece(freed_at=FREED + H, pence=300.0), piece()]
    assert became(twice) == [5, 0, 5, 0]
    assert became(twice, {piece().spot: None}) == [10, 0, 0, 0]
    found = what_became(twice, {}, {}, NOW)
    assert (found.sold_again, found.lost) == (MinutesShare(5, 600), MinutesShare(5, 300))


def test_another_place_at_the_same_time_is_another():
    assert became([piece()], {("roller", 2, TEN): None, ("bench", 1, TEN): None}) == [0, 0, 5, 0]


def test_pence_are_added_up_before_they_are_rounded():
    thirds = [piece(TEN + n * timedelta(minutes=5), pence=100 / 3) for n in range(3)]
    found = what_became(thirds, {}, {}, NOW)
    assert (found.lost, found.minutes) == (MinutesShare(15, 100), 15)


def test_without_any_there_is_nothing():
    assert what_became([], {}, {}, NOW).minutes == 0


def test_of_a_time_given_back_only_what_another_machine_can_still_use_is_left():
    def gone(late_min):
        return gone_min(TEN, 90, TEN + timedelta(minutes=late_min))

    assert [gone(late) for late in (-60, -0.1, 0, 0.1, 5, 20, 84, 85, 86, 500)] == [0, 0, 5, 10, 10, 25, 90, 90, 90, 90]
