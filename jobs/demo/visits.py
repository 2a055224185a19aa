"""The demo's visits: the past year's, two finished ones, today's floor as it is now, and those to come."""

from __future__ import annotations

from datetime import datetime

from garage.changes.visit import offers
from garage.models.shop import BENCH, ROLLER
from garage.models.visits import Visit
from garage.reads.arrival import agreed_at
from jobs.core.billing.estimate import LABOUR, PART
from jobs.demo import floor, levelled, past
from jobs.demo.booking import FALSE_CEILING, HEALTHY, MERELY_RICH, PINKING, Desk, Who
from jobs.demo.floor import Timeline, after, before
from jobs.demo.garage import Garage
from jobs.demo.pulls import pulled, rollers_told

EARLIEST_MIN, LATEST_MIN = 10 * 60 + 30, 14 * 60 + 30  # local minutes between which today's floor is busy
QUARTER_MIN = 15
ACCEPTED_MIN = 7 * 60 + 45  # local minute at which the day's plan is accepted, before anybody comes

ASHWORTH = Who("Alex Ashworth", "alex.ashworth@example.org", "07700 900185", "Corrick 185", 1984)
BRAITHE = Who("Kim Braithe", "kim.braithe@example.net", "07700 900190", "Corrick 90", 1979)
COLLIN = Who("Pat Collin", "pat.collin@example.org", "07700 900110", "Ostler 110", 1998)
DACRE = Who("Chris Dacre", "chris.dacre@example.net", "07700 900186", "Corrick 185", 1981)
ELTER = Who("Lou Elter", "lou.elter@example.org", "07700 900187", "Corrick 185", 1985)
FELL = Who("Terry Fell", "terry.fell@example.net", "07700 900250", "Tarnhow 250", 1983)
GILL = Who("Val Gill", "val.gill@example.org", "07700 900251", "Tarnhow 250", 1986)
HOWE = Who("Nic Howe", "nic.howe@example.net", "07700 900191", "Corrick 90", 1988)
IRTON = Who("Bo Irton", "bo.irton@example.org", "07700 900188", "Corrick 185", 1980)
KELD = Who("Ray Keld", "ray.keld@example.net", "07700 900252", "Tarnhow 250", 1987)
LUNE = Who("Ali Lune", "ali.lune@example.org", "07700 900192", "Corrick 90", 1976)
MOSSER = Who("Jude Mosser", "jude.mosser@example.org", "07700 900193", "Corrick 90", 1982)

DECOKE = "It pinks: heads off, ports and crowns cleaned of coke, new gaskets, timing set by the strobe."
DECOKED = (
    floor.estimate_line(LABOUR, "Decoke, and timing set", "2.5", "54.00"),
    floor.estimate_line(PART, "Head gasket, Tarnhow 250", "2", "6.20"),
)


def told(garage: Garage, now: datetime) -> None:
    """Makes all of them, as they are now."""
    desk, play = Desk(garage, now), Timeline(now)
    rollers_told(desk)
    past.told(desk)
    _set_up_and_paid(desk, play)
    _bench_check_not_paid_yet(desk, play)
    _today(desk, play)
    _to_come(desk, play)
    levelled.told(desk, play)
    play.play()
    offers.offer_all_due(now=now)


def _set_up_and_paid(desk: Desk, play: Timeline) -> None:
    """Rich, set up, invoiced and collected two open days ago."""
    boss, mechanic = desk.garage.boss, desk.garage.mechanic
    visit = desk.booked(
        "set-up", FELL, day=desk.open_day(-2), minute=10 * 60, wants="New pipes; it smokes and four-strokes."
    )
    desk.sheet_filled(visit, MERELY_RICH)
    at = agreed_at(visit)
    play.at(before(at, 25), floor.comes(visit, by=desk.garage.desk, came_with="Two spare plugs, jets 150 to 170"))
    play.at(before(at, 22), floor.gate_begins(visit, by=mechanic))
    play.at(
        before(at, 2), floor.bench_part_ends(visit, by=mechanic, rev_out="smoky", strobe=[(1300, 21.0), (9000, 20.4)])
    )
    play.at(at, floor.is_put_on(visit, by=mechanic))
    play.at(after(at, 4), floor.strapped_part_ends(visit, by=mechanic, second=desk.garage.desk))
    play.at(after(at, 5), floor.begins(visit, ROLLER, by=mechanic))
    for minute, kilowatts in ((14, 27.9), (18, 28.1)):
        pull = pulled(visit, kilowatts=kilowatts, peak_rpm=9600, main_jet="165", air_fuel=11.3, by=mechanic)
        play.at(after(at, minute), pull)
    play.at(after(at, 20), floor.may_do_more(visit, words="A new main jet, 155, in both.", price="8.40", by=mechanic))
    play.at(after(at, 26), floor.owner_says_yes(visit))
    play.at(after(at, 30), floor.jet(visit, before="165", after="155", by=mechanic))
    for minute, kilowatts in ((52, 31.0), (57, 31.4), (62, 31.2)):
        pull = pulled(visit, kilowatts=kilowatts, peak_rpm=9800, main_jet="155", air_fuel=12.6, by=mechanic)
        play.at(after(at, minute), pull)
    play.at(after(at, 66), floor.wrote(visit, what="note", words="Plugs: light brown, both alike.", by=mechanic))
    play.at(after(at, 70), floor.read(visit, words="best pull", before="28.1", after="31.4", unit="kW", by=mechanic))
    play.at(after(at, 85), floor.fitted(visit, words="Main jet 155", quantity="2", price="4.20", by=mechanic))
    play.at(after(at, 90), floor.ends(visit, by=mechanic))
    play.at(after(at, 95), floor.closes(visit, by=mechanic, cause="main-jet-rich", good="ht-side"))
    play.at(after(at, 105), floor.taken_off(visit, words="Two visits this year", pounds="5.00", by=boss))
    play.at(after(at, 110), floor.invoiced(visit, by=boss))
    play.at(after(at, 150), floor.paid_and_collected(visit, how="card", by=boss))


def _bench_check_not_paid_yet(desk: Desk, play: Timeline) -> None:
    """A spark module that fails hot: estimated, done as estimated, invoiced, a little of it credited, not paid yet."""
    boss = desk.garage.boss
    visit = desk.booked("bench-check", IRTON, day=desk.open_day(-1), minute=14 * 60, wants="Dies when it gets hot.")
    at = agreed_at(visit)
    play.at(before(at, 10), floor.comes(visit, by=desk.garage.desk, how="van", remarks="Scratch on the left panel."))
    play.at(at, floor.begins(visit, BENCH, by=boss, station=2))
    play.at(after(at, 20), floor.wrote(visit, what="work", words="New spark module, run hot, it holds.", by=boss))
    module = floor.estimate_line(PART, "Spark module", "1", "64.00")
    why = "The spark module fails above 60 °C. A new one; fitting it is in the price of the bench check."
    play.at(after(at, 11), floor.estimated(visit, words=why, lines=[module], by=boss))
    play.at(after(at, 16), floor.owner_agrees(visit))
    play.at(after(at, 35), floor.done_as_estimated(visit, by=boss))
    play.at(after(at, 45), floor.ends(visit, by=boss))
    play.at(after(at, 50), floor.closes(visit, by=boss, cause="spark-module", words="fails above 60 °C"))
    play.at(after(at, 60), floor.invoiced(visit, by=boss))
    play.at(after(at, 66), floor.credited(visit, pounds="10.00", why="We had promised it for noon.", by=boss))
    play.at(after(at, 70), floor.sold_over_the_counter(words="Spark plug", quantity="2", price="6.50", by=boss))


def _today(desk: Desk, play: Timeline) -> None:
    day, middle = desk.open_day(0), EARLIEST_MIN
    if day == desk.today:
        minute = desk.local.minute_of_day(desk.now) // QUARTER_MIN * QUARTER_MIN
        middle = min(max(minute, EARLIEST_MIN), LATEST_MIN)
    done = desk.booked("power-run", LUNE, day=day, minute=middle - 135)
    failed = desk.booked("power-run", BRAITHE, day=day, minute=middle - 75, wants="Flat at high revs since last week.")
    running = desk.booked("set-up", ASHWORTH, day=day, minute=middle - 30, wants="New exhaust, please set it up.")
    bench = desk.booked("bench-check", COLLIN, day=day, minute=middle + 165, wants="Hard to start.")
    later = desk.booked("power-run", DACRE, day=day, minute=middle + 75)
    desk.sheet_filled(running, MERELY_RICH)
    desk.sheet_filled(later, HEALTHY)
    play.at(desk.local.at_minute(day, ACCEPTED_MIN), floor.day_plan_accepted(day, by=desk.garage.boss))
    _has_been_run(desk, play, done)
    _fails_the_gate(desk, play, failed, middle)
    _is_on_the_rollers(desk, play, running)
    comes_at = desk.local.at_minute(day, middle - 5)
    play.at(comes_at, floor.comes(bench, by=desk.garage.desk, how="ridden", remarks="Petrol nearly empty."))


def _has_been_run(desk: Desk, play: Timeline, visit: Visit) -> None:
    mechanic, at = desk.garage.mechanic, agreed_at(visit)
    play.at(before(at, 25), floor.comes(visit, by=desk.garage.desk, how="van"))
    play.at(before(at, 22), floor.gate_begins(visit, by=mechanic))
    play.at(before(at, 2), floor.bench_part_ends(visit, by=mechanic, strobe=[(1400, 24.0), (9400, 23.2)]))
    play.at(at, floor.is_put_on(visit, by=mechanic))
    play.at(after(at, 4), floor.strapped_part_ends(visit, by=mechanic, second=desk.garage.desk))
    play.at(after(at, 5), floor.begins(visit, ROLLER, by=mechanic))
    play.at(after(at, 30), floor.read(visit, words="best pull", before="", after="6.2", unit="kW", by=mechanic))
    play.at(after(at, 45), floor.ends(visit, by=mechanic))
    play.at(after(at, 50), floor.closes(visit, by=mechanic))


def _fails_the_gate(desk: Desk, play: Timeline, visit: Visit, middle: int) -> None:
    """It hits a ceiling on the stand, so the rollers go to the next machine and the boss looks at it on the bench."""
    boss, mechanic, at = desk.garage.boss, desk.garage.mechanic, agreed_at(visit)
    bench_at = desk.local.at_minute(desk.open_day(0), middle - 20)
    play.at(before(at, 25), floor.comes(visit, by=desk.garage.desk, came_with="A spare coil"))
    play.at(before(at, 22), floor.gate_begins(visit, by=mechanic))
    play.at(before(at, 2), floor.bench_part_ends(visit, by=mechanic, rev_out="ceiling"))
    play.at(max(bench_at, at), floor.begins(visit, BENCH, by=boss))
    play.at(after(max(bench_at, at), 10), floor.wrote(visit, what="note", words="Ceiling at 6,900, stutters.", by=boss))


def _is_on_the_rollers(desk: Desk, play: Timeline, visit: Visit) -> None:
    mechanic, at = desk.garage.mechanic, agreed_at(visit)
    play.at(before(at, 25), floor.comes(visit, by=desk.garage.desk, came_with="Jets 120 to 140"))
    play.at(before(at, 22), floor.gate_begins(visit, by=mechanic))
    play.at(
        before(at, 2), floor.bench_part_ends(visit, by=mechanic, rev_out="smoky", strobe=[(1350, 22.0), (8600, 21.2)])
    )
    play.at(at, floor.is_put_on(visit, by=mechanic))
    play.at(after(at, 4), floor.strapped_part_ends(visit, by=mechanic, second=desk.garage.desk))
    play.at(after(at, 5), floor.begins(visit, ROLLER, by=mechanic))
    pull = pulled(visit, kilowatts=12.8, peak_rpm=8700, main_jet="132", air_fuel=11.5, by=mechanic)
    play.at(after(at, 12), pull)
    play.at(after(at, 20), floor.jet(visit, before="132", after="128", by=mechanic))
    play.at(after(at, 90), floor.ends(visit, by=mechanic))


def _to_come(desk: Desk, play: Timeline) -> None:
    """One waiting for the boss's decision, one to ring, one put right at home, one not to run, two just booked, one
    whose owner is asked.
    """
    asked = desk.booked(
        "set-up", ELTER, day=desk.open_day(2), minute=10 * 60, wants="Runs rich, I think. Jets, please."
    )
    desk.sheet_filled(asked, FALSE_CEILING)
    ring = desk.booked("power-run", GILL, day=desk.open_day(2), minute=14 * 60)
    desk.sheet_filled(ring, MERELY_RICH)
    desk.boss_says_yes(ring)
    put_right = desk.booked("power-run", HOWE, day=desk.open_day(3), minute=9 * 60 + 30)
    desk.clip_sent(put_right)
    desk.sheet_filled(put_right, FALSE_CEILING)
    desk.boss_says_yes(put_right)
    not_run = desk.booked("set-up", KELD, day=desk.open_day(3), minute=11 * 60, wants="It pinks when it pulls.")
    desk.sheet_filled(not_run, PINKING)
    desk.boss_says_yes(not_run)
    play.at(desk.now, floor.estimated(not_run, words=DECOKE, lines=DECOKED, by=desk.garage.boss))
    half = desk.booked("power-run", BRAITHE, day=desk.open_day(4), minute=10 * 60)
    desk.sheet_filled(half, {"trouble": "bogs", "where": "bottom"}, is_sent=False)
    desk.asks_for_sooner(half)
    desk.owner_puts_it_right(put_right)  # and gives back a time that the one on standby could use
    desk.booked("set-up", COLLIN, day=desk.open_day(5), minute=13 * 60 + 30, has_paid=False)
    chooses = desk.booked("power-run", MOSSER, day=desk.open_day(6), minute=10 * 60)
    desk.sheet_filled(chooses, FALSE_CEILING)
    desk.boss_says_yes(chooses)
