"""The second factor of a log-in: codes by time (TOTP, RFC 6238) and the spare codes for a lost phone.

What an app is told: SHA-1, six digits, thirty seconds. Many apps ignore any other choice (RFC 6238, 1.2, gives these as
the default).
"""

from __future__ import annotations

import base64
import hmac
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pyotp

STEP_S = 30  # s, how long a code counts: RFC 6238, 5.2, recommends it
STEPS_ASIDE = 1  # a phone's clock may be that far off, either way: RFC 6238, 5.2, recommends one at most
CODE_DIGITS = 6
SECRET_BYTES = 20  # RFC 4226, 4, requirement 6, recommends 160 bits

SPARES = 8  # common practice, no source
SPARE_DIGITS = 12  # 40 bits, behind the limit on tries and hashed as a password; for a phone's number keys


@dataclass(frozen=True)
class Spare:
    """A spare code as it was typed: which of them, and its digits."""

    number: int
    digits: str


def secret_of(seed: str, key: str) -> str:
    """What an app keeps, in base 32: from the seed that is stored and the garage's key, which is not stored beside it.

    >>> secret_of("seed", "key")
    'F2IECALI2CAWT7ELCCOH6WQSGLO3GOKF'
    """
    made = hmac.digest(key.encode(), f"garage.second-factor\n{seed}".encode(), "sha256")
    return base64.b32encode(made[:SECRET_BYTES]).decode()


def step_of(typed: str, secret: str, *, at_s: float, after: int) -> int | None:
    """The step of time that this code is the code of; None if it is of none that counts now.

    at_s: seconds since 1970. after: the step of the last code that was taken; a code counts once (RFC 6238, 5.2).
    """
    code, now = _digits(typed), int(at_s // STEP_S)
    codes = pyotp.TOTP(secret, digits=CODE_DIGITS, interval=STEP_S)
    for step in range(max(now - STEPS_ASIDE, after + 1, 0), now + STEPS_ASIDE + 1):
        if hmac.compare_digest(codes.generate_otp(step), code):
            return step
    return None


def app_address(secret: str, *, whose: str, issuer: str) -> str:
    """What the picture tells an app: an address as apps agree on it (Key URI Format, no standard)."""
    codes = pyotp.TOTP(secret, digits=CODE_DIGITS, interval=STEP_S)
    return codes.provisioning_uri(name=whose.replace(":", " "), issuer_name=issuer.replace(":", " "))


def in_groups(secret: str) -> str:
    """To be typed by hand.

    >>> in_groups("ABCDEFGHIJ")
    'ABCD EFGH IJ'
    """
    return " ".join(re.findall(".{1,4}", secret))


def new_spares(choose: Callable[[Sequence[str]], str]) -> list[Spare]:
    """choose: picks one of the digits, unpredictably."""
    return [
        Spare(number, "".join(choose("0123456789") for _ in range(SPARE_DIGITS))) for number in range(1, SPARES + 1)
    ]


def spare_in_words(spare: Spare) -> str:
    """As it is printed: its number first, then groups of four.

    >>> spare_in_words(Spare(3, "482190751163"))
    '3 4821 9075 1163'
    """
    return f"{spare.number} {in_groups(spare.digits)}"


def spare_of(typed: str) -> Spare | None:
    """None for what is no spare code.

    >>> spare_of(" 3-4821 9075 1163 ")
    Spare(number=3, digits='482190751163')
    >>> spare_of("482190")
    """
    digits = _digits(typed)
    return Spare(int(digits[0]), digits[1:]) if len(digits) == 1 + SPARE_DIGITS else None


def _digits(typed: str) -> str:
    """Those of a keyboard alone; spaces and dashes do not matter, anything else spoils it."""
    bare = re.sub(r"[\s-]", "", typed)
    return bare if bare.isascii() and bare.isdecimal() else ""
