"""The second factor of a log-in: set up with a phone, asked after the password, forgotten at the machine itself.

Wrong codes are counted as wrong passwords are, but by the person alone and by the address: whoever gets as far as a
code has given the right password.
"""

from __future__ import annotations

import secrets
from datetime import datetime

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.db import transaction

from garage.changes import trail
from garage.changes.people import attempts, log_ins
from garage.core.errors import Refused
from garage.core.letting_in import one_time_codes
from garage.models.actors import SYSTEM
from garage.models.people import Person
from garage.models.second_factor import SecondFactor, SpareCode
from garage.reads.log_ins import about_log_ins
from garage.reads.second_factor import kept_secret, key_mark, new_secret

WRONG_CODE = "wrong-code"
SEED_BYTES = 32  # of chance: more than a secret has


class WrongCode(Refused):
    """Wrong, too old, or taken already. It does not say which."""

    status = 422


def new_seed() -> str:
    return secrets.token_urlsafe(SEED_BYTES)


def prove(person: Person, code: str, *, address_key: str, browser: str, now: datetime) -> None:
    """A code of the phone, or a spare one: each counts once. WrongCode, or TooOften past the limits."""
    for_the_person = attempts.hashed(str(person.pk))
    caps = ((for_the_person, log_ins.MOST_WRONG_FOR_A_NAME), (address_key, log_ins.MOST_WRONG_FROM_AN_ADDRESS))
    claim = attempts.claimed(WRONG_CODE, caps=caps, within=log_ins.WITHIN, now=now)
    if claim is None:
        raise log_ins.TooOften("Too many wrong codes. Wait a quarter of an hour, then log in again.")
    if not _takes(person, code, now=now):
        _note(person, f"gave a wrong code with {browser}", now=now)
        raise WrongCode(
            "That code is not right, or it was used already. Wait for the next one. If none is right, look whether the "
            "phone sets its clock by itself."
        )
    attempts.take_back(claim)
    attempts.forget(WRONG_CODE, key=for_the_person)


def set_up(person: Person, *, seed: str, code: str, but: str | None, now: datetime) -> list[str]:
    """The spare codes, to be shown this once. It takes the place of one that was set up before.

    code: of the phone that has just taken the secret of this seed. but: the key of the session that goes on. Every
    other log-in ends: it may be somebody's who knew no more than the password.
    """
    step = one_time_codes.step_of(code, new_secret(seed), at_s=now.timestamp(), after=-1)
    if step is None:
        raise WrongCode(
            "That is not the code of this picture. They change every half minute: type the one it shows now."
        )
    spares = one_time_codes.new_spares(secrets.choice)
    hashed = [(spare.number, make_password(spare.digits)) for spare in spares]
    with transaction.atomic():
        Person.objects.select_for_update().get(pk=person.pk)
        SecondFactor.objects.filter(person=person).delete()
        factor = SecondFactor.objects.create(
            person=person, seed=seed, key_mark=key_mark(settings.SECRET_KEY), since=now, last_step=step
        )
        SpareCode.objects.bulk_create(SpareCode(factor=factor, number=number, hashed=one) for number, one in hashed)
        log_ins.end_all(person, but=but, by=person, now=now)
        _note(person, "set up a second factor", now=now)
    return [one_time_codes.spare_in_words(spare) for spare in spares]


def forget_at_the_machine(person: Person, *, now: datetime) -> None:
    """For somebody whose phone and spare codes are gone. The password is not touched."""
    with transaction.atomic():
        found, _ = SecondFactor.objects.filter(person=person).delete()
        if not found:
            raise Refused(f"{person.name} has no second factor.")
        did = f"forgot the second factor of {person.name}, by the command on the machine itself"
        trail.wrote(did=did, about=about_log_ins(person), by=SYSTEM, now=now)
    attempts.forget_all(WRONG_CODE)


def _takes(person: Person, code: str, *, now: datetime) -> bool:
    factor = SecondFactor.objects.filter(person=person).first()
    if factor is None:
        return False
    spare = one_time_codes.spare_of(code)
    return _takes_spare(factor, spare, now=now) if spare else _takes_code(factor, code, now=now)


def _takes_code(factor: SecondFactor, code: str, *, now: datetime) -> bool:
    """Of two that give one code at once, the second finds its step taken."""
    secret = kept_secret(factor)
    step = one_time_codes.step_of(code, secret, at_s=now.timestamp(), after=factor.last_step) if secret else None
    if step is None:
        return False
    return SecondFactor.objects.filter(pk=factor.pk, last_step__lt=step).update(last_step=step) == 1


def _takes_spare(factor: SecondFactor, spare: one_time_codes.Spare, *, now: datetime) -> bool:
    row = SpareCode.objects.filter(factor=factor, number=spare.number, used_at=None).first()
    if row is None or not check_password(spare.digits, row.hashed):
        return False
    with transaction.atomic():
        if not SpareCode.objects.filter(pk=row.pk, used_at=None).update(used_at=now):
            return False
        _note(factor.person, f"used spare code {spare.number}", now=now)
    return True


def _note(person: Person, did: str, *, now: datetime) -> None:
    trail.wrote(did=did, about=about_log_ins(person), by=person, now=now)
