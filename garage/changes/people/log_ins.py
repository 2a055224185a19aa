"""Logging in: wrong passwords are counted by name and address, to stop brute-force guessing. What happened at the
log-in is in the trail, and the log-ins of a person can be ended.
"""

from datetime import datetime, timedelta

from django.contrib.auth import authenticate
from django.db import transaction

from garage.changes import trail
from garage.changes.people import attempts
from garage.changes.sweeping import delete_in_batches
from garage.core.errors import Refused
from garage.models.actors import STRANGER
from garage.models.people import Person
from garage.models.sessions import BrowserSession
from garage.reads.log_ins import LoggedIn, about_log_ins, session_with

WITHIN = timedelta(minutes=15)  # common practice, no source; so are the counts
MOST_WRONG_FOR_A_NAME = 5
MOST_WRONG_FROM_AN_ADDRESS = 30
REFUSALS_NOTED_EVERY = timedelta(hours=1)  # of one person at one address: the trail keeps rows for good
WRONG, SHUT_OUT, NOT_ALLOWED = "wrong-password", "shut-out", "not-allowed"


class WrongPassword(Refused):
    """Name and password don't belong together. It does not say which of them is wrong."""

    status = 422


class TooOften(Refused):
    """Too many wrong passwords. Even a right one is then not checked."""

    status = 429


def prove(name: str, password: str, *, address_key: str, browser: str, now: datetime) -> Person:
    """The person. WrongPassword for an unknown name too, TooOften past the limits. browser: a plain word for it."""
    for_the_name = attempts.hashed(name.casefold(), address_key)
    caps = ((for_the_name, MOST_WRONG_FOR_A_NAME), (address_key, MOST_WRONG_FROM_AN_ADDRESS))
    claim = attempts.claimed(WRONG, caps=caps, within=WITHIN, now=now)
    if claim is None:
        _note_shut_out(name, for_the_name, browser=browser, now=now)
        raise TooOften("Too many wrong passwords from here. Wait a quarter of an hour, or ask the boss for a new one.")
    person = authenticate(username=name, password=password)
    if person is None:
        _note(name, "gave a wrong password", browser=browser, now=now)
        raise WrongPassword("That name and password don't belong together. Capital and small letters matter in both.")
    attempts.take_back(claim)
    attempts.forget(WRONG, key=for_the_name)
    return person


def began(person: Person, *, browser: str, now: datetime) -> None:
    trail.wrote(did=f"logged in with {browser}", about=about_log_ins(person), by=person, now=now)


def ended_by_hand(person: Person, *, now: datetime) -> None:
    trail.wrote(did="logged out", about=about_log_ins(person), by=person, now=now)


@transaction.atomic
def end(person: Person, log_in: LoggedIn, *, by: Person, now: datetime) -> None:
    """That browser has to log in again with its next press."""
    session_with(person, log_in.id, now=now).delete()
    did = f"ended the log-in of {person.name} with {log_in.browser}"
    trail.wrote(did=did, about=about_log_ins(person), by=by, now=now)


@transaction.atomic
def end_all(person: Person, *, but: str | None, by: Person, now: datetime) -> None:
    """but: the key of the session that goes on, or None."""
    BrowserSession.objects.filter(person=person).exclude(session_key=but or "").delete()
    which = "every other log-in" if but else "every log-in"
    trail.wrote(did=f"ended {which} of {person.name}", about=about_log_ins(person), by=by, now=now)


@transaction.atomic
def refused(person: Person, path: str, *, now: datetime) -> None:
    """A page that this person's role may not open was asked for."""
    key = attempts.hashed(str(person.pk), path)
    if attempts.may_try(NOT_ALLOWED, key=key, most=1, within=REFUSALS_NOTED_EVERY, now=now):
        attempts.tried(NOT_ALLOWED, key=key, now=now)
        trail.wrote(did=f"was refused {path}", about=about_log_ins(person), by=person, now=now)


def let_everybody_try_again() -> None:
    attempts.forget_all(WRONG)
    attempts.forget_all(SHUT_OUT)


def sweep(*, now: datetime) -> None:
    """Sessions that have run out, of people and of those who booked: two weeks after they were last used
    (SESSION_COOKIE_AGE in garage/settings.py).
    """
    delete_in_batches(BrowserSession.objects.filter(expire_date__lt=now))


def _note_shut_out(name: str, key: str, *, browser: str, now: datetime) -> None:
    """Once for the whole time that the door is shut."""
    if attempts.may_try(SHUT_OUT, key=key, most=1, within=WITHIN, now=now):
        attempts.tried(SHUT_OUT, key=key, now=now)
        _note(name, "was shut out for a quarter of an hour: too many wrong passwords", browser=browser, now=now)


def _note(name: str, did: str, *, browser: str, now: datetime) -> None:
    """A name that nobody has is not kept: people type their password there by mistake."""
    person = Person.objects.filter(username=name).first()
    whose = f"for {person.name}" if person else "for a name that nobody has"
    trail.wrote(did=f"{did}, {whose}, with {browser}", about=about_log_ins(person), by=STRANGER, now=now)
