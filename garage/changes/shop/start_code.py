"""The one-time code of an empty garage: made at each start, proved with limited tries, spent with the first log-in."""

import secrets
from datetime import datetime, timedelta

from django.utils.crypto import constant_time_compare

from garage.changes import trail
from garage.changes.people import attempts
from garage.changes.people.log_ins import TooOften
from garage.core.errors import BadInput, Refused
from garage.core.letting_in.start_code import as_typed, counts, new_code
from garage.models.actors import STRANGER
from garage.models.start_code import StartCode
from garage.reads.setting_up import is_empty, start_code

WRONG_CODE, EVERYWHERE = "wrong-start-code", "everywhere"
WITHIN = timedelta(minutes=15)  # common practice, no source; so are the counts
MOST_WRONG_FROM_AN_ADDRESS = 10
MOST_WRONG_IN_ALL = 50
ALREADY_SET_UP = "This garage is already set up: the boss adds people under The shop, people."


def renew(*, now: datetime) -> str:
    """A new code for an empty garage, which the old one no longer opens. Empty for one that has a boss.

    Whoever can start the garage may try again at once.
    """
    if not is_empty():
        StartCode.objects.all().delete()
        return ""
    code = new_code(secrets.choice)
    StartCode.objects.update_or_create(id=1, defaults={"code_hash": _hash(code), "made_at": now})
    attempts.forget_all(WRONG_CODE)
    return code


def prove(code: str, *, address_key: str, browser: str, now: datetime) -> None:
    """Raises BadInput for a wrong code and TooOften past the limits, when even the right one is not looked at."""
    if not is_empty():
        raise Refused(ALREADY_SET_UP)
    caps = ((address_key, MOST_WRONG_FROM_AN_ADDRESS), (attempts.hashed(EVERYWHERE), MOST_WRONG_IN_ALL))
    claim = attempts.claimed(WRONG_CODE, caps=caps, within=WITHIN, now=now)
    if claim is None:
        raise TooOften("Too many wrong codes. Wait a quarter of an hour, or start Tickover again for a new code.")
    kept = start_code()
    if kept is None or not constant_time_compare(kept.code_hash, _hash(code)):
        did = f"gave a wrong code for the first log-in, with {browser}"
        trail.wrote(did=did, about="the shop", by=STRANGER, now=now)
        raise BadInput("Code", code, "the code in the terminal in which Tickover was started last")
    attempts.take_back(claim)
    if not counts(kept.made_at, now):
        raise Refused("That code was made more than a day ago. Start Tickover again: it prints a new one.")


def spend(code: str) -> None:
    """Inside the change that it opens. Of two at once, the second waits and finds it gone."""
    spent, _ = StartCode.objects.filter(code_hash=_hash(code)).delete()
    if not spent:
        raise Refused(ALREADY_SET_UP)


def _hash(code: str) -> str:
    return attempts.hashed("start code", as_typed(code))
