"""The JSON form of `plan`: a parsed line becomes a DayProblem, and a Plan becomes the output.

Every refusal is a BadInput that names the field by its path, such as jobs[2].steps[0].minutes. Unknown keys are
ignored. A step may name somebody who is not among the day's people: people go home, and the rest of the day must still
be planned.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import Any, TypeVar

from garage.core.errors import BadInput
from garage.core.planning.day_problem import KINDS, DayProblem, Job, JobStep, Pin, Placed, Plan, Worker
from garage.core.planning.planner import plan
from garage.core.time.day_minutes import DAY_MIN, hhmm, minute_read

Raw = Mapping[str, Any]
T = TypeVar("T")

MOST_STATIONS = 50
MOST_PEOPLE = 50
MOST_JOBS = 200
MOST_STEPS = 50
MOST_SPANS = 100
MOST_PENCE = 10**12
MOST_S = 3600


def answer(raw: object) -> dict[str, Any]:
    """The output for one line of `plan`. Raises BadInput."""
    return plan_to(plan(day_from(raw)))


def day_from(raw: object) -> DayProblem:
    """The day of one input line. Raises BadInput naming the field that cannot be used."""
    line = _object(raw, "the line")
    now = _minute(line, "now", "")
    people = _items(line, "people", "", _person, MOST_PEOPLE)
    _all_different([p.id for p in people], "people")
    rollers = _whole(line, "rollers", "", 0, MOST_STATIONS)
    benches = _whole(line, "benches", "", 0, MOST_STATIONS)
    counts = {"roller": rollers, "bench": benches}

    def job(value: object, path: str) -> Job:
        return _job(value, path, now, counts)

    jobs = _items(line, "jobs", "", job, MOST_JOBS)
    _all_different([j.id for j in jobs], "jobs")
    quiet = line.get("quiet")
    return DayProblem(
        day=_date(line.get("day")),
        now=now,
        rollers=rollers,
        benches=benches,
        people=people,
        jobs=jobs,
        guard=_whole(line, "guard", "", 0, DAY_MIN, default=0),
        limit_s=_number(line, "limit_s", "", 0, MOST_S, default=2.0),
        quiet_rollers=() if quiet is None else _spans(_object(quiet, "quiet"), "rollers", "quiet."),
        standing=() if line.get("standing") is None else _items(line, "standing", "", _placed, MOST_JOBS * MOST_STEPS),
    )


def plan_to(made: Plan) -> dict[str, Any]:
    """A plan with the manual's keys and its times as text."""
    return {
        "day": made.day,
        "placed": [
            {
                "job": p.job,
                "step": p.step,
                "at": p.at,
                "station": p.station,
                "by": p.by,
                "begin": hhmm(p.begin),
                "end": hhmm(min(p.end, DAY_MIN)),
            }
            for p in made.placed
        ],
        "left_out": [{"job": one.job, "why": one.why} for one in made.left_out],
        "kept": made.kept,
        "broken": [{"job": one.job, "why": one.why} for one in made.broken],
        "guarded": made.guarded,
        "worth": made.worth,
        "roller_minutes": made.roller_minutes,
        "proved": made.proved,
        "notes": list(made.notes),
    }


def _person(value: object, path: str) -> Worker:
    raw = _object(value, path)
    begin, end = _minute(raw, "from", f"{path}."), _minute(raw, "to", f"{path}.")
    if end < begin:
        raise BadInput(f"{path}.to", raw["to"], f"a time not before from, {hhmm(begin)}")
    return Worker(
        id=_text(raw, "id", f"{path}."),
        begin=begin,
        end=end,
        breaks=() if raw.get("breaks") is None else _spans(raw, "breaks", f"{path}."),
        skills=frozenset(_items(raw, "skills", f"{path}.", _kind, len(KINDS) * 10)),
    )


def _job(value: object, path: str, now: int, counts: dict[str, int]) -> Job:
    raw = _object(value, path)

    def step(item: object, item_path: str) -> JobStep:
        return _step(item, item_path, now, counts)

    steps = _items(raw, "steps", f"{path}.", step, MOST_STEPS)
    if not steps:
        raise BadInput(f"{path}.steps", "empty", "at least one step")
    for index, one in enumerate(steps[1:], start=1):
        if one.began is not None and steps[index - 1].ended is None:
            raise BadInput(f"{path}.steps[{index}].began", hhmm(one.began), "a step whose earlier steps have all ended")
    return Job(
        id=_text(raw, "id", f"{path}."),
        here_from=_minute(raw, "here_from", f"{path}."),
        steps=steps,
        gone_by=_maybe_minute(raw, "gone_by", f"{path}."),
        promised=_maybe_minute(raw, "promised", f"{path}."),
        worth=_whole(raw, "worth", f"{path}.", 0, MOST_PENCE),
        ready=_number(raw, "ready", f"{path}.", 0, 1, default=1.0),
    )


def _step(value: object, path: str, now: int, counts: dict[str, int]) -> JobStep:
    raw = _object(value, path)
    at = _kind(raw.get("at"), f"{path}.at")
    check = raw.get("check")
    if check is not None and not isinstance(check, bool):
        raise BadInput(f"{path}.check", check, "true or false")
    began, ended = _maybe_minute(raw, "began", f"{path}."), _maybe_minute(raw, "ended", f"{path}.")
    by = None if began is None else _text(raw, "by", f"{path}.")
    _begun_is_sound(path, now, began, ended)
    return JobStep(
        at=at,
        minutes=_whole(raw, "minutes", f"{path}.", 1, DAY_MIN),
        check=bool(check),
        began=began,
        by=by,
        ended=ended,
        pin=_pin(raw.get("pin"), f"{path}.pin", at, counts),
    )


def _begun_is_sound(path: str, now: int, began: int | None, ended: int | None) -> None:
    if began is not None and began > now:
        raise BadInput(f"{path}.began", hhmm(began), f"a time up to now, {hhmm(now)}")
    if ended is None:
        return
    if began is None:
        raise BadInput(f"{path}.began", None, "a time, as the step has ended")
    if not began <= ended <= now:
        raise BadInput(f"{path}.ended", hhmm(ended), f"a time from {hhmm(began)} to now, {hhmm(now)}")


def _pin(value: object, path: str, at: str, counts: dict[str, int]) -> Pin:
    if value is None:
        return Pin()
    raw = _object(value, path)
    station = None if raw.get("station") is None else _whole(raw, "station", f"{path}.", 1, max(1, counts[at]))
    by = None if raw.get("by") is None else _text(raw, "by", f"{path}.")
    return Pin(station=station, by=by, begin=_maybe_minute(raw, "begin", f"{path}."))


def _placed(value: object, path: str) -> Placed:
    raw = _object(value, path)
    return Placed(
        job=_text(raw, "job", f"{path}."),
        step=_whole(raw, "step", f"{path}.", 0, MOST_STEPS),
        at=_kind(raw.get("at"), f"{path}.at"),
        station=_whole(raw, "station", f"{path}.", 1, MOST_STATIONS),
        by=_text(raw, "by", f"{path}."),
        begin=_minute(raw, "begin", f"{path}."),
        end=_minute(raw, "end", f"{path}."),
    )


def _object(value: object, path: str) -> Raw:
    if not isinstance(value, Mapping):
        raise BadInput(path, _shown(value), "an object with named keys")
    return value


def _items(raw: Raw, key: str, prefix: str, one: Callable[[object, str], T], most: int) -> tuple[T, ...]:
    path, value = f"{prefix}{key}", raw.get(key)
    if not isinstance(value, list) or len(value) > most:
        found = f"a list of {len(value)}" if isinstance(value, list) else _shown(value)
        raise BadInput(path, found, f"a list of at most {most}")
    return tuple(one(item, f"{path}[{index}]") for index, item in enumerate(value))


def _spans(raw: Raw, key: str, prefix: str) -> tuple[tuple[int, int], ...]:
    def span(value: object, path: str) -> tuple[int, int]:
        if not isinstance(value, list) or len(value) != 2:
            raise BadInput(path, _shown(value), 'a pair of times such as ["13:00", "13:30"]')
        begin, end = minute_read(value[0], f"{path}[0]"), minute_read(value[1], f"{path}[1]")
        if end < begin:
            raise BadInput(f"{path}[1]", value[1], f"a time not before {hhmm(begin)}")
        return begin, end

    return () if raw.get(key) is None else _items(raw, key, prefix, span, MOST_SPANS)


def _kind(value: object, path: str) -> str:
    if not isinstance(value, str) or value not in KINDS:
        raise BadInput(path, _shown(value), '"bench" or "roller"')
    return value


def _text(raw: Raw, key: str, prefix: str) -> str:
    value = raw.get(key)
    if not isinstance(value, str):
        raise BadInput(f"{prefix}{key}", _shown(value), "any string")
    return value


def _minute(raw: Raw, key: str, prefix: str) -> int:
    value = raw.get(key)
    return minute_read(value if isinstance(value, str) else _shown(value), f"{prefix}{key}")


def _maybe_minute(raw: Raw, key: str, prefix: str) -> int | None:
    return None if raw.get(key) is None else _minute(raw, key, prefix)


def _whole(raw: Raw, key: str, prefix: str, least: int, most: int, default: int | None = None) -> int:
    value = raw.get(key)
    if value is None and default is not None:
        return default
    is_whole = isinstance(value, int) or (isinstance(value, float) and math.isfinite(value) and value == int(value))
    if isinstance(value, bool) or not is_whole or value is None or not least <= value <= most:
        raise BadInput(f"{prefix}{key}", _shown(value), f"a whole number from {least} to {most}")
    return int(value)


def _number(raw: Raw, key: str, prefix: str, least: float, most: float, default: float) -> float:
    value = raw.get(key)
    if value is None:
        return default
    if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
        raise BadInput(f"{prefix}{key}", _shown(value), f"a number from {least} to {most}")
    return float(value)


def _date(value: object) -> str:
    """A week such as "2027-W10-3" is a date of ISO 8601 too, but not what the manual says."""
    if isinstance(value, str):
        with suppress(ValueError):
            if datetime.date.fromisoformat(value).isoformat() == value:
                return value
    raise BadInput("day", _shown(value), 'a date such as "2027-03-10"')


def _all_different(ids: list[str], path: str) -> None:
    seen: set[str] = set()
    for index, one in enumerate(ids):
        if one in seen:
            raise BadInput(f"{path}[{index}].id", one, "an id that is not used twice in the day")
        seen.add(one)


def _shown(value: object) -> object:
    """How a value is quoted: itself if short and plain, else its type. Never a long or deeply nested text."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and abs(value) > 10**15:
        return "a huge number"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    return "an object" if isinstance(value, Mapping) else value
