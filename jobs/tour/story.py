"""The main job once through on the real pages: from the booking to the machine going home."""

from __future__ import annotations

from datetime import datetime, timedelta

from jobs.tour import here_side, owner_side, sooner_side, workshop_side
from jobs.tour.stage import Stage


def played(stage: Stage, other: Stage) -> None:
    """other: of the owner who comes sooner. Raises Mismatch or Astray if a page, mail or paper is not as expected."""
    booked_at = stage.facts.booked_on
    owner_side.books(stage)
    sooner_side.books_and_would_come_sooner(other, stage.slot, booked_at + timedelta(minutes=20))
    owner_side.fills_the_sheet(stage)
    forenoon = _forenoon_after(stage, booked_at)
    workshop_side.takes_the_deposit(stage, forenoon)
    workshop_side.judges(stage, forenoon + timedelta(minutes=20))
    owner_side.reads_that_it_is_put_right_first(stage, forenoon + timedelta(minutes=21))
    bench_at = owner_side.leaves_it_with_the_garage(stage, forenoon + timedelta(minutes=25))
    workshop_side.logs_in(stage.mechanic, "mechanic")
    sooner_side.comes_sooner(other, stage, forenoon + timedelta(minutes=30))
    again = here_side.books_again(other, bench_at, other.slot + timedelta(minutes=120))
    stage.tell.chapter("In the workshop")
    workshop_side.takes_in(stage, bench_at - timedelta(minutes=10))
    workshop_side.puts_it_right(stage, bench_at)
    gate_at = bench_at + timedelta(minutes=stage.facts.bench_minutes + 5)
    workshop_side.passes_the_gate_at_the_bench(stage, gate_at)
    rollers_at = here_side.takes_the_time(stage, again, gate_at + timedelta(minutes=22))
    workshop_side.passes_the_gate_strapped_down(stage, rollers_at)
    rollers_at += timedelta(minutes=5)
    workshop_side.goes_on_the_rollers(stage, rollers_at)
    workshop_side.stands_on_the_day_sheet(stage, rollers_at + timedelta(minutes=40))
    workshop_side.comes_off_the_rollers(stage, rollers_at + timedelta(minutes=85))
    stage.tell.chapter("The paper side")
    workshop_side.closes_the_card(stage, rollers_at + timedelta(minutes=95))
    workshop_side.invoices(stage, rollers_at + timedelta(minutes=100))
    workshop_side.is_paid_and_collected(stage, rollers_at + timedelta(minutes=130))
    owner_side.sees_it_paid(stage, rollers_at + timedelta(minutes=140))
    sooner_side.is_counted_as_sold_again(other, rollers_at + timedelta(minutes=150))


def _forenoon_after(stage: Stage, evening: datetime) -> datetime:
    """08:30 on the day after. That is Tuesday to Friday, since the booking is made on a Monday."""
    day = stage.local.day(evening) + timedelta(days=1)
    return stage.local.at_minute(day, 0) + timedelta(hours=8, minutes=30)
