"""A machine kind as an owner picks it."""

from __future__ import annotations

from garage.models.owners import MachineKind


def kind_words(kind: MachineKind) -> str:
    """Model and years, as "Corrick 185, 1979 to 1986", so that two versions of one model can be told apart."""
    if kind.first_year and kind.last_year:
        return f"{kind}, {kind.first_year} to {kind.last_year}"
    if kind.first_year or kind.last_year:
        return f"{kind}, {'from' if kind.first_year else 'to'} {kind.first_year or kind.last_year}"
    return str(kind)
