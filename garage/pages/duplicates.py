"""The page of duplicates: owners and machines that may be the same, and what was joined."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from garage.core.duplicates import Contact, likely_duplicates
from garage.models.owners import Join, Machine, Owner
from garage.reads.owners import joins, machines_unjoined, names_of, owners_unjoined


@dataclass(frozen=True)
class LikelyOwners:
    """Owners that may be the same, with what they share in words."""

    owners: list[Owner]
    shared: str


@dataclass(frozen=True)
class LikelyMachines:
    """Machines of one owner with the same description."""

    owner: Owner
    machines: list[Machine]


@dataclass(frozen=True)
class Joined:
    """A joining that can be undone, with the names of both records."""

    join: Join
    kept_words: str
    joined_words: str


@dataclass(frozen=True)
class DuplicatesPage:
    owners: list[LikelyOwners]
    machines: list[LikelyMachines]
    joined: list[Joined]


def duplicates_page() -> DuplicatesPage:
    return DuplicatesPage(likely_owners(), likely_machines(), joined())


def likely_owners() -> list[LikelyOwners]:
    rows = {row.pk: row for row in owners_unjoined()}
    groups = likely_duplicates(Contact(row.pk, row.name, row.email, row.telephone) for row in rows.values())
    return [LikelyOwners([rows[pk] for pk in group.ids], " and ".join(group.shared)) for group in groups]


def likely_machines() -> list[LikelyMachines]:
    """Machines of one owner with the same words."""
    by_words: dict[tuple[int, str], list[Machine]] = {}
    for row in machines_unjoined():
        by_words.setdefault((row.owner_id, "".join(row.words.casefold().split())), []).append(row)
    return [LikelyMachines(rows[0].owner, rows) for rows in by_words.values() if len(rows) > 1]


def joined() -> list[Joined]:
    """The newest first."""
    rows = list(joins())
    names = {"owner": _names(rows, "owner"), "machine": _names(rows, "machine")}
    return [Joined(row, *(names[row.what].get(pk, "?") for pk in (row.kept_id, row.joined_id))) for row in rows]


def _names(rows: Sequence[Join], what: str) -> dict[int, str]:
    return names_of(what, {pk for row in rows if row.what == what for pk in (row.kept_id, row.joined_id)})
