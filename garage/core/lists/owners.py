"""A list of owners with their machines, a line for each machine: what it does to the owners that are known.

The same mail address or telephone number is the same owner (core/duplicates.py), in the file as in the garage. What
is known of an owner stays: it was typed by somebody who spoke with them. Only what is empty is filled in. Of one owner,
the same registration is the same machine, else the same words.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from garage.core.duplicates import strong_signs
from garage.core.errors import BadInput
from garage.core.lists import cells
from garage.core.lists.plan import LineOutcome, ListEntry, ListPlan, ListRow
from garage.core.lists.table import Column, ListLine, read_table

COLUMNS = (
    Column("name", "up to 80 letters", ("owner",), is_needed=True),
    Column("email", "a mail address; this or a telephone number must be there", ("mail", "email address")),
    Column("telephone", "digits, spaces and a plus sign", ("phone", "tel", "mobile", "telephone number")),
    Column("address", "with line breaks inside the quotes, if you like"),
    Column("machine", "make and model, as the owner calls it; empty for an owner without one"),
    Column("kind", "make and model as under The shop, Machine kinds, if it is one of those", ("machine kind",)),
    Column("year", "four digits"),
    Column("registration", "up to 20 letters", ("reg", "number plate")),
)
CONTACT = ("email", "telephone", "address")
LONGEST_ADDRESS = 400


@dataclass(frozen=True)
class KnownKind:
    id: int
    words: str
    first_year: int | None
    last_year: int | None


@dataclass
class OwnedMachine:
    """id: None for one of the file. values: words, year, registration, kind_id. filled: what the file adds."""

    id: int | None
    values: dict[str, object]
    filled: dict[str, object] = field(default_factory=dict)


@dataclass
class KnownOwner:
    """id: None for one of the file. values: name, email, telephone, address. others: mail addresses and numbers of
    records that were joined to this one. filled: what the file adds.
    """

    id: int | None
    values: dict[str, str]
    machines: list[OwnedMachine] = field(default_factory=list)
    others: Sequence[tuple[str, str]] = ()
    filled: dict[str, object] = field(default_factory=dict)


def plan_owners(raw: bytes, known: Iterable[KnownOwner], kinds: Iterable[KnownKind]) -> ListPlan:
    """known: what the garage has, altered as the lines are read. Raises BadInput for a file that is no such list."""
    table = read_table(raw, COLUMNS)
    book = _Book(known, kinds)
    entries = tuple(book.entry(line) for line in table.lines)
    return ListPlan(entries, tuple(book.rows()), table.unused)


class _Book:
    """The owners by what they can be told by, while the lines go through."""

    def __init__(self, known: Iterable[KnownOwner], kinds: Iterable[KnownKind]) -> None:
        self.owners = list(known)
        self.by_sign: dict[tuple[str, str], KnownOwner] = {}
        for owner in self.owners:
            self._sign(owner)
        self.kinds: dict[str, list[KnownKind]] = {}
        for kind in kinds:
            self.kinds.setdefault(kind.words.casefold(), []).append(kind)

    def entry(self, line: ListLine) -> ListEntry:
        words = " ".join(line.cells.get("name", "").split())
        try:
            contact, machine = _contact(line), self._machine(line)
            owner = self._owner(line, contact)
        except BadInput as error:
            return ListEntry(line.number, LineOutcome.REFUSED, words, (error.sentence,))
        if owner is None:
            owner = KnownOwner(None, contact, [OwnedMachine(None, machine)] if machine else [])
            self.owners.append(owner)
            self._sign(owner)
            return ListEntry(line.number, LineOutcome.NEW, words, (f"with {machine['words']}",) if machine else ())
        changes, stays = _fill_owner(owner, contact), _stays(owner, contact)
        self._sign(owner)
        changes += _fill_machine(owner, machine) if machine else []
        return ListEntry(line.number, LineOutcome.CHANGED if changes else LineOutcome.SAME, words, (*changes, *stays))

    def rows(self) -> Iterable[ListRow]:
        for owner in self.owners:
            parts = [
                ListRow(machine.id, machine.values if machine.id is None else machine.filled)
                for machine in owner.machines
                if machine.id is None or machine.filled
            ]
            if owner.id is None or owner.filled or parts:
                yield ListRow(owner.id, owner.values if owner.id is None else owner.filled, tuple(parts))

    def _sign(self, owner: KnownOwner) -> None:
        for sign in (*strong_signs(owner.values["email"], owner.values["telephone"]), *owner.others):
            self.by_sign.setdefault(sign, owner)

    def _owner(self, line: ListLine, contact: Mapping[str, str]) -> KnownOwner | None:
        signs = strong_signs(contact["email"], contact["telephone"])
        found = {id(owner): owner for sign in signs if (owner := self.by_sign.get(sign))}
        if len(found) > 1:
            names = " and ".join(owner.values["name"] for owner in found.values())
            allowed = (
                f"the mail address and telephone number of one owner, not of {names}: join them under Doubles first"
            )
            raise cells.trouble(line, "telephone", contact["telephone"], allowed)
        return next(iter(found.values()), None)

    def _machine(self, line: ListLine) -> dict[str, object]:
        """Empty for a line without a machine."""
        words, year = cells.text(line, "machine", 80), cells.year(line, "year")
        kind = self._kind(line, year)
        registration = cells.text(line, "registration", 20)
        words = words or (kind.words if kind else "")
        if not words and (year or registration):
            raise cells.trouble(line, "machine", None, "make and model, where there is a year or a registration")
        if not words:
            return {}
        return {"words": words, "year": year, "registration": registration, "kind_id": kind.id if kind else None}

    def _kind(self, line: ListLine, year: int | None) -> KnownKind | None:
        found = cells.text(line, "kind", 81)
        if not found:
            return None
        named = self.kinds.get(found.casefold(), [])
        if not named:
            raise cells.trouble(line, "kind", found, "a kind that stands under The shop, Machine kinds, or nothing")
        fitting = [kind for kind in named if year is None or _is_of(kind, year)] if len(named) > 1 else named
        if len(fitting) != 1:
            raise cells.trouble(line, "kind", found, "a kind with a year that says which of its versions it is")
        return fitting[0]


def _contact(line: ListLine) -> dict[str, str]:
    cells.check_length(line)
    email, telephone = cells.email(line, "email"), cells.telephone(line, "telephone")
    address = line.cells.get("address", "")
    if len(address) > LONGEST_ADDRESS:
        raise cells.trouble(line, "address", address, f"up to {LONGEST_ADDRESS} letters")
    name = cells.needed(line, "name", 80)
    if not email and not telephone:
        raise cells.trouble(line, "telephone", None, "a number, when there is no mail address")
    return {"name": name, "email": email, "telephone": telephone, "address": address}


def _is_of(kind: KnownKind, year: int) -> bool:
    return (kind.first_year or year) <= year <= (kind.last_year or year)


def _fill_owner(owner: KnownOwner, contact: Mapping[str, str]) -> list[str]:
    """What was empty and now is not, in words."""
    added = {name: contact[name] for name in CONTACT if contact[name] and not owner.values[name]}
    owner.values |= added
    if owner.id is not None:
        owner.filled |= added
    return [f"{name}: {value}" for name, value in added.items()]


def _stays(owner: KnownOwner, contact: Mapping[str, str]) -> list[str]:
    """Where the file says otherwise than what is known."""
    return [
        f"{name} stays {owner.values[name]}"
        for name in ("name", *CONTACT)
        if contact[name] and not _is_alike(name, contact[name], owner.values[name])
    ]


def _is_alike(name: str, one: str, other: str) -> bool:
    if name in ("email", "telephone"):
        signs = [strong_signs(**{"email": "", "telephone": ""} | {name: value}) for value in (one, other)]
        return signs[0] == signs[1] and (bool(signs[0]) or one == other)
    return " ".join(one.casefold().split()) == " ".join(other.casefold().split())


def _fill_machine(owner: KnownOwner, machine: Mapping[str, object]) -> list[str]:
    known = next((each for each in owner.machines if _is_same(each.values, machine)), None)
    if known is None:
        owner.machines.append(OwnedMachine(None, dict(machine)))
        return [f"another machine: {machine['words']}"]
    added = {name: value for name, value in machine.items() if value and not known.values[name]}
    known.values |= added
    if known.id is not None:
        known.filled |= added
    return [f"{known.values['words']}, {'kind' if name == 'kind_id' else name} filled in" for name in added]


def _is_same(known: Mapping[str, object], machine: Mapping[str, object]) -> bool:
    plates = [_plate(each["registration"]) for each in (known, machine)]
    if all(plates):
        return plates[0] == plates[1]
    years = [each["year"] for each in (known, machine)]
    return str(known["words"]).casefold() == str(machine["words"]).casefold() and (
        years[0] == years[1] or not all(years)
    )


def _plate(registration: object) -> str:
    return "".join(letter for letter in str(registration or "").upper() if letter.isalnum())
