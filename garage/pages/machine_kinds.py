"""A machine kind as an owner chooses it."""

from __future__ import annotations

from garage.models.owners import MachineKind


def kind_words(kind: MachineKind) -> str:
    """As "Corrick 185, 1979 to 1986", so that two editions of one model are told apart."""
    if kind.first_year and kind.last_year:
        return f"{kind}, {kind.first_year} to {kind.last_year}"
    if kind.first_year or kind.last_year:
        return f"{kind}, {'from' if kind.first_year else 'to'} {kind.first_year or kind.last_year}"
    return str(kind)
