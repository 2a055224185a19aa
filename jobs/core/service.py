"""A service reminder: when it is due, and its words. It goes by the date, since the garage reads no odometers."""

from __future__ import annotations

from calendar import monthrange
from datetime import date

from garage.core.errors import BadInput, Unquoted
from garage.core.text.languages import told

LONGEST_WHAT = 100  # characters
MOST_KM, MOST_MONTHS = 50_000, 36


def check_service(what: str, after_km: int | None, months: int) -> None:
    """Raises BadInput with what is wrong and what is allowed."""
    if not what:
        raise BadInput("What to do", None, "a few words, such as: strobe it again")
    if len(what) > LONGEST_WHAT:
        raise BadInput("What to do", Unquoted(f"{len(what)} characters long"), f"at most {LONGEST_WHAT}")
    if after_km is not None and not 1 <= after_km <= MOST_KM:
        raise BadInput("Kilometres", after_km, f"1 to {MOST_KM}, or nothing")
    if not 1 <= months <= MOST_MONTHS:
        raise BadInput("Months", months, f"1 to {MOST_MONTHS}")


def months_after(day: date, months: int) -> date:
    """The same day so many months on; at most its month's last.

    >>> months_after(date(2026, 8, 31), 6).isoformat()
    '2027-02-28'
    """
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    _, last = monthrange(year, month + 1)
    return date(year, month + 1, min(day.day, last))


def service_words(what: str, after_km: int | None) -> str:
    """What to do, with the distance after which it is due.

    >>> service_words("strobe it again", 500)
    'strobe it again after about 500 km'
    """
    return told("{what} after about {km} km", what=what, km=after_km) if after_km else what
