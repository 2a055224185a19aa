"""What a proposal changes and why, as the workshop says it: one line for each job."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from garage.core.planning.day_problem import Placed
from garage.core.planning.standing.plan_changes import (
    SLIP_MIN,
    Because,
    Gone,
    GoneStep,
    MovedStep,
    PlanChange,
    WhyMoved,
)
from garage.core.time.day_minutes import hhmm

Whats = Mapping[tuple[str, int], str]  # (job id, index of the step) to what it is: gate, set-up, fix first

_GONE = {
    Gone.CALLED_OFF: "it is called off",
    Gone.DID_NOT_COME: "it did not come",
    Gone.NO_TIME: "it has no time any more",
    Gone.ANOTHER_DAY: "it has another day now",
    Gone.MUST_NOT_RUN: "it must not run",
    Gone.TO_PUT_RIGHT: "it is to be put right first",
    Gone.WAITING: "it waits for parts or for its owner",
    Gone.DROPPED: "it is not to be done any more",
}
_CAUSES = {
    WhyMoved.FIXED: "that is set by hand",
    WhyMoved.NOT_HERE_YET: "the machine is not here before {minute}",
    WhyMoved.NOBODY: "{person} is not at work then",
    WhyMoved.OWN_STEP_LATE: "what comes before it runs late, until {minute}",
    WhyMoved.OWN_STEP: "what comes before it ends at {minute}",
    WhyMoved.NOT_BEGUN: "it has not begun",
    WhyMoved.STATION_LATE: "{other} runs late on {station}, until {minute}",
    WhyMoved.STATION_FIXED: "{station} is set by hand for {other} until {minute}",
    WhyMoved.STATION_PROMISED: "{station} is promised to {other}, until {minute}",
    WhyMoved.STATION_NEW: "{other} has come in and takes {station} until {minute}",
    WhyMoved.STATION_TAKEN: "{station} is taken by {other} until {minute}",
    WhyMoved.PERSON_TAKEN: "{person} is with {other} until {minute}",
    WhyMoved.STATION_FREE: "{other} does not need {station} then",
    WhyMoved.PERSON_FREE: "{person} is not with {other} then",
    WhyMoved.BETTER: "the whole day comes out better",
}


def change_words(change: PlanChange, whats: Whats) -> str:
    """One line that says all that changes for the job.

    >>> before, after = Placed("41", 1, "roller", 1, "Jo", 600, 690), Placed("41", 1, "roller", 1, "Jo", 640, 730)
    >>> late = PlanChange("41", moved=(MovedStep(before, after),), because=Because(WhyMoved.OWN_STEP_LATE, minute=640))
    >>> change_words(late, {("41", 1): "set-up"})
    '41: set-up at 10:40 instead of 10:00: what comes before it runs late, until 10:40.'
    """
    return f"{change.job}: {' '.join(_sentences(change, whats))}"


def _sentences(change: PlanChange, whats: Whats) -> Iterator[str]:
    sentences = list(_parts(change, whats))
    yield sentences[0]
    yield from (sentence[0].upper() + sentence[1:] for sentence in sentences[1:])


def _parts(change: PlanChange, whats: Whats) -> Iterator[str]:
    if change.gone:
        yield f"no {_and(_gone_words(gone) for gone in change.gone)}: {_GONE[change.gone[0].why]}."
    if change.left_out:
        yield f"left out of today. {change.left_out}"
    if change.moved:
        moved = "; ".join(_moved_words(one, whats) for one in change.moved)
        yield moved + (f": {because_words(change.because)}." if change.because else ".")
    if change.added:
        added = _and(f"{whats[p.job, p.step]} at {hhmm(p.begin)} ({_where(p)}, {p.by})" for p in change.added)
        yield f"{'newly come in: ' if change.is_new else 'now also '}{added}."
    if change.broken:
        yield f"its promise is not kept. {change.broken}"


def because_words(because: Because) -> str:
    """Why, without a full stop."""
    return _CAUSES[because.cause].format(
        other=because.other,
        person=because.person or "nobody known",
        station=station_words(because.at, because.station),
        minute=hhmm(because.minute),
    )


def station_words(at: str, station: int) -> str:
    return f"{at} {station}"


def _moved_words(moved: MovedStep, whats: Whats) -> str:
    """Only what changes: the time if it is more than a slip, else the station or the person."""
    before, after = moved.before, moved.after
    words = f"{whats[after.job, after.step]} at {hhmm(after.begin)}"
    is_elsewhere = (before.station, before.by) != (after.station, after.by)
    if abs(after.begin - before.begin) > SLIP_MIN or not is_elsewhere:
        words += f" instead of {hhmm(before.begin)}"
    if before.station != after.station:
        words += f", on {_where(after)} instead of {_where(before)}"
    if before.by != after.by:
        words += f", by {after.by}" + (f" instead of {before.by}" if before.by else "")
    return words


def _gone_words(gone: GoneStep) -> str:
    return f"{gone.what} at {hhmm(gone.begin)}"


def _where(placed: Placed) -> str:
    return station_words(placed.at, placed.station)


def _and(parts: Iterable[str]) -> str:
    *some, last = parts
    return f"{', '.join(some)} and {last}" if some else last
