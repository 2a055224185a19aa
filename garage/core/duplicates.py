"""Which owners are probably the same person: they share a mail address, a telephone number or a name."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

KEPT_DIGITS = 9  # the last digits: 07700 900123 and +44 7700 900123 are the same number


@dataclass(frozen=True)
class Contact:
    """What is known of one owner. id: any number that identifies the record."""

    id: int
    name: str
    email: str
    telephone: str


@dataclass(frozen=True)
class LikelyDuplicates:
    """Two or more records, the oldest first, and what they share."""

    ids: tuple[int, ...]
    shared: tuple[str, ...]


def likely_duplicates(contacts: Iterable[Contact]) -> list[LikelyDuplicates]:
    """Groups of records that share something. If A and B share a mail and B and C a number, all three form one group.

    Records with the same id count once. A name alone is a weak sign and is reported as such. Nothing is joined here: a
    person decides. Source of the signs: common practice, no source.

    >>> one, other = Contact(1, "Ann", "", "07700 900123"), Contact(2, "Anne", "", "+447700900123")
    >>> likely_duplicates([one, other])
    [LikelyDuplicates(ids=(1, 2), shared=('telephone number',))]
    """
    by_sign: dict[tuple[str, str], list[int]] = {}
    for contact in contacts:
        for sign in _signs(contact):
            by_sign.setdefault(sign, []).append(contact.id)
    shared_signs = {sign: ids for sign, ids in by_sign.items() if len(set(ids)) > 1}
    leader: dict[int, int] = {}
    for ids in shared_signs.values():
        for other in ids[1:]:
            _unite(leader, ids[0], other)
    groups: dict[int, tuple[set[int], set[str]]] = {}
    for (kind, _), ids in shared_signs.items():
        members, kinds = groups.setdefault(_find(leader, ids[0]), (set(), set()))
        members.update(ids)
        kinds.add(kind)
    return sorted((_likely(*group) for group in groups.values()), key=lambda group: group.ids)


def digits_of(telephone: str) -> str:
    """The digits that identify a telephone number, empty when there are too few.

    >>> digits_of("+44 (0)7700 900 123"), digits_of("ask")
    ('700900123', '')
    """
    digits = re.sub(r"\D", "", telephone)
    return digits[-KEPT_DIGITS:] if len(digits) >= KEPT_DIGITS else ""


def strong_signs(email: str, telephone: str) -> list[tuple[str, str]]:
    """What two records of one person share beyond doubt: mail address and telephone number, where there is one.

    >>> strong_signs("Ann@Example.com ", "+44 7700 900123")
    [('email address', 'ann@example.com'), ('telephone number', '700900123')]
    """
    signs = {"email address": email.strip().casefold(), "telephone number": digits_of(telephone)}
    return [(kind, sign) for kind, sign in signs.items() if sign]


def _signs(contact: Contact) -> Iterable[tuple[str, str]]:
    name = " ".join(contact.name.casefold().split())
    return [*strong_signs(contact.email, contact.telephone), *([("name", name)] if name else [])]


def _likely(ids: set[int], kinds: set[str]) -> LikelyDuplicates:
    order = ("email address", "telephone number", "name")
    return LikelyDuplicates(tuple(sorted(ids)), tuple(kind for kind in order if kind in kinds))


def _find(leader: dict[int, int], member: int) -> int:
    while leader.get(member, member) != member:
        member = leader[member]
    return member


def _unite(leader: dict[int, int], one: int, other: int) -> None:
    leader[_find(leader, other)] = _find(leader, one)
