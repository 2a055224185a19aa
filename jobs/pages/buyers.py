"""Owners found for a sale over the counter."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from garage.models.owners import Owner
from garage.reads.owners import found

SHOWN = 8  # whoever sees so many types more


@dataclass(frozen=True)
class SoughtBuyers:
    """chosen: an id as it was typed; empty if nobody was chosen, or several were found. is_more: than are shown."""

    owners: list[Owner]
    chosen: str
    is_more: bool


def sought_buyers(typed: Mapping[str, str]) -> SoughtBuyers | None:
    """typed: the form, of which `who` and `owner` count. None while nobody is sought."""
    who = typed.get("who", "").strip()
    if not who:
        return None
    owners = found(who)
    only = str(owners[0].pk) if len(owners) == 1 else ""
    return SoughtBuyers(owners[:SHOWN], typed.get("owner") or only, len(owners) > SHOWN)
