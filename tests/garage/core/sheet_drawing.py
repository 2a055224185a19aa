"""Days to draw: the sketch's own four machines, and a full one with twelve."""

from __future__ import annotations

from garage.core.drawing.sheet import DaySheet, Promise, Rest, Stop, Thread
from garage.core.time.day_minutes import minute_read

TRACKS = ("In the yard", "Bench 1", "Bench 2", "Rollers", "Collected")


def stops(text: str) -> tuple[Stop, ...]:
    """One stop a line: track, from, to, state, words."""
    out = []
    for line in text.strip().splitlines():
        track, begin, end, state, *words = (part.strip() for part in line.split("|"))
        out.append(Stop(track, minute_read(begin), minute_read(end), state, words[0] if words else ""))
    return tuple(out)


def four_machines() -> DaySheet:
    machines = (
        Thread(
            "41",
            "41 Corrick 185, set-up",
            stops("""In the yard|08:30|08:45|waiting
                     Bench 1|08:45|08:55|done|41 gate
                     Rollers|09:00|10:30|done|41 set-up
                     Collected|10:50|11:20|waiting"""),
        ),
        Thread(
            "42",
            "42 Tarnhow 250, set-up",
            stops("""In the yard|09:30|10:05|waiting
                     Bench 1|10:05|10:15|done|42 gate
                     Bench 1|10:20|12:10|running|42 fix first: ceiling at 5 200
                     In the yard|12:15|15:00|waiting
                     Rollers|15:00|16:30|planned|42 set-up, if it passes
                     Collected|16:50|17:20|waiting"""),
            odds="about 6 in 10 pass",
        ),
        Thread(
            "43",
            "43 Corrick 90, left with us",
            stops("""In the yard|08:10|09:20|waiting
                     Bench 2|09:20|09:30|done|43 gate
                     In the yard|09:34|10:36|waiting
                     Rollers|10:40|11:25|running|43 power run, took 42’s time
                     Collected|11:50|17:20|waiting"""),
        ),
        Thread(
            "44",
            "44 Ostler 110, power run",
            stops("""In the yard|12:40|12:55|waiting
                     Bench 2|12:55|13:05|planned|44 gate
                     Rollers|13:30|14:15|planned|44 power run
                     Collected|14:40|15:10|waiting"""),
        ),
    )
    promises = (Promise("41", "Rollers", 540), Promise("44", "Rollers", 810))
    return DaySheet("Day sheet, Wednesday 10 March", TRACKS, machines, promises, (Rest(750, 780),), now=650)


def twelve_machines() -> DaySheet:
    """Two benches, two rollers, twelve machines, a promise for each of eight; most arrive within two hours."""
    tracks = ("In the yard", "Bench 1", "Bench 2", "Rollers 1", "Rollers 2", "Collected")
    names = ("Corrick 185", "Tarnhow 250", "Corrick 90", "Ostler 110")
    machines, promises = [], []
    for n in range(12):
        number, here = str(41 + n), 480 + 13 * (n // 2) + 2 * n
        check = 490 + 15 * (n // 2) + (60 if n > 7 else 0)
        roller = 525 + 65 * (n // 2) + (30 if n > 5 else 0)
        bench, rollers = tracks[1 + n % 2], tracks[3 + n % 2]
        state = "done" if roller + 50 <= 650 else "running" if roller <= 650 else "planned"
        own = (
            Stop("In the yard", min(here, check - 5), check - 3),
            Stop(bench, check, check + 10, "done", f"{number} gate"),
            Stop("In the yard", check + 12, roller - 3),
            Stop(rollers, roller, roller + 50, state, f"{number} {('set-up', 'power run')[n % 2]}"),
            Stop("Collected", roller + 70, 1020),
        )
        machines.append(Thread(number, f"{number} {names[n % 4]}, {('set-up', 'power run')[n % 2]}", own, n % 5 == 1))
        if n % 3:
            promises.append(Promise(number, rollers, roller))
    rests = (Rest(750, 780), Rest(780, 810, "dinner, second person"))
    return DaySheet("Day sheet, Thursday 11 March", tracks, tuple(machines), tuple(promises), rests, now=650)
