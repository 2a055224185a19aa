"""The demo's machine whose pickup was not level: strobed, packed level, strobed again. It waits to be collected."""

from __future__ import annotations

from decimal import Decimal
from functools import partial

from diagnostics.changes import packers
from garage.models.shop import BENCH, ROLLER
from garage.reads.arrival import agreed_at
from jobs.demo import floor
from jobs.demo.booking import Desk, Who
from jobs.demo.floor import Timeline, after, before
from jobs.demo.pulls import pulled

MARDALE = Who("Sal Mardale", "sal.mardale@example.net", "07700 900189", "Corrick 185", 1982)
CLIMBS = [(1350, 19.8), (5200, 22.5), (8800, 24.6)]  # rpm, degrees BTDC; the spec of its kind is 22
HOLDS = [(1350, 22.2), (5200, 21.9), (8800, 21.4)]
STACK_MM = [Decimal("0.80"), Decimal("0.10")]


def told(desk: Desk, play: Timeline) -> None:
    """On the last open day before today it fails the gate as do not run, is put right on the bench and strobed there
    again, passes and is set up: pulled, jetted down, the plug read, pulled again.
    """
    mechanic = desk.garage.mechanic
    visit = desk.booked(
        "set-up", MARDALE, day=desk.open_day(-1), minute=9 * 60 + 30, wants="Weak at low revs, pinks at high revs."
    )
    at = agreed_at(visit)
    play.at(before(at, 25), floor.comes(visit, by=desk.garage.desk))
    play.at(before(at, 24), floor.gate_begins(visit, by=mechanic))
    play.at(before(at, 4), floor.bench_part_ends(visit, by=mechanic, rev_out="", strobe=CLIMBS))
    play.at(after(at, 5), floor.begins(visit, BENCH, by=mechanic))
    play.at(after(at, 25), lambda now: packers.take(visit, packers_mm=STACK_MM, by=mechanic, now=now))
    play.at(after(at, 40), floor.wrote(visit, what="work", words="Pickup levelled, timing reset to 22°.", by=mechanic))
    play.at(after(at, 42), floor.strobed_again(visit, idle_deg=22.2, peak_deg=21.4, by=mechanic))
    play.at(after(at, 45), floor.ends(visit, by=mechanic))
    play.at(after(at, 48), floor.gate_begins(visit, by=mechanic))
    play.at(after(at, 66), floor.bench_part_ends(visit, by=mechanic, strobe=HOLDS))
    play.at(after(at, 67), floor.is_put_on(visit, by=mechanic))
    play.at(after(at, 71), floor.strapped_part_ends(visit, by=mechanic, second=desk.garage.desk))
    play.at(after(at, 72), floor.begins(visit, ROLLER, by=mechanic))
    level = partial(pulled, visit, peak_rpm=8800, timing="level, 22°", by=mechanic)
    for minute, kilowatts in ((78, 12.7), (82, 12.9)):
        play.at(after(at, minute), level(kilowatts=kilowatts, main_jet="112", air_fuel=11.6))
    play.at(after(at, 95), floor.jet(visit, before="112", after="108", by=mechanic))
    for minute, kilowatts in ((108, 13.4), (112, 13.6), (116, 13.5)):
        play.at(after(at, minute), level(kilowatts=kilowatts, main_jet="108", air_fuel=12.7))
    play.at(after(at, 118), floor.wrote(visit, what="note", words="Plug: light brown, no specks.", by=mechanic))
    play.at(after(at, 120), floor.read(visit, words="best pull", before="12.9", after="13.6", unit="kW", by=mechanic))
    play.at(after(at, 150), floor.ends(visit, by=mechanic))
    play.at(after(at, 155), floor.closes(visit, by=mechanic, cause="pickup-misaligned"))
