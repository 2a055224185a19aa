"""A machine kind as an owner picks it."""

from __future__ import annotations

from garage.core.text.languages import told
from garage.models.owners import MachineKind


def kind_words(kind: MachineKind) -> str:
    """Model and years, as "Corrick 185, 1979 to 1986", so that two versions of one model can be told apart."""
    if kind.first_year and kind.last_year:
        return told("{kind}, {first} to {last}", kind=kind, first=kind.first_year, last=kind.last_year)
    if kind.first_year:
        return told("{kind}, from {year}", kind=kind, year=kind.first_year)
    if kind.last_year:
        return told("{kind}, to {year}", kind=kind, year=kind.last_year)
    return str(kind)
