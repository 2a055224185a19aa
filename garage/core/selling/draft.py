"""What an owner, or the front desk on the telephone, has entered for a visit that is not booked yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from garage.core.text.languages import ENGLISH


@dataclass(frozen=True, slots=True)
class ToldOfSafety:
    """What an owner answers when the desk asks for the engine's sake: yes, no or unsure; empty if not asked."""

    nipped: str = ""
    pinking: str = ""
    leaks: str = ""


@dataclass(frozen=True, slots=True)
class AskedSooner:
    """An earlier time is wished for, if one comes free. notice_hours: that its owner needs. weekdays: that suit, 0 is
    Monday.
    """

    notice_hours: int
    weekdays: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Draft:
    """key: made once for each draft, so that sending it twice books it once. starts_at: an aware instant.

    machine_kind_id: the machine kind that was picked, None for another. machine_words: make and model as the owner
    calls them. year: of the machine, None if not known. machine_id: a machine that was here before, picked at the desk.
    Its record and its owner's are then used, and whatever else the draft says of them is ignored. told: only at the
    desk. sooner: None if nothing earlier is asked for. language: that the owner reads in.
    """

    key: UUID
    kind_slug: str
    starts_at: datetime
    name: str
    email: str
    telephone: str
    machine_words: str
    machine_kind_id: int | None = None
    year: int | None = None
    wants: str = ""
    machine_id: int | None = None
    told: ToldOfSafety = ToldOfSafety()
    sooner: AskedSooner | None = None
    language: str = ENGLISH
