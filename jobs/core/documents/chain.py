"""The chain of frozen documents: each value is a hash over what the document says and over the value before it.

So an edit, a swap or a drop anywhere changes every value from there on, and the value printed on any later paper no
longer agrees. What may go once the law's time is over (whom it was written to, and words) is hashed apart, with a salt
that goes with it: the hash alone must not confirm a guessed name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from jobs.core.documents.fingerprint import fingerprint, plain

FORM = (
    "book-1"  # of what is hashed and how: whoever changes it gives it another name and keeps this one for what stands
)
FIRST = "0" * 64  # the value before the first document's
STAYS = (
    *("number", "visit_id", "issued_on", "supplied_on", "issued_at", "issued_by_id", "seller"),
    *("net", "vat", "gross", "vat_by_rate", "deposit", "deposit_vat", "currency", "payment_words"),
)
LINE_STAYS = (
    *("index", "quantity", "unit", "price_each", "vat_percent", "vat_category"),
    *("net", "vat", "gross", "corrects_id"),
)
MAY_GO, LINE_MAY_GO = ("buyer", "machine", "exemption_words"), ("words",)

MISSING, TOO_MANY, UNLINKED = "missing", "too many", "unlinked"
CHANGED, OUT_OF_PLACE, WORDLESS = "changed", "out of place", "wordless"
FAULT_WORDS = {
    MISSING: "is missing",
    TOO_MANY: "has a number that was never given out",
    UNLINKED: "is no part of the chain",
    CHANGED: "is not what was issued",
    OUT_OF_PLACE: "does not follow the one before it",
    WORDLESS: "has lost its words before their time",
}


@dataclass(frozen=True)
class Linked:
    """A document's place in the chain. salt: empty once its words are gone. All in hexadecimal."""

    salt: str
    words_hash: str
    previous: str
    value: str


@dataclass(frozen=True)
class Frozen:
    """A document as it stands now. invoice, lines: its columns by name. may_be_wordless: its time is over."""

    number: int
    invoice: Mapping[str, object]
    lines: Sequence[Mapping[str, object]]
    may_be_wordless: bool
    link: Linked | None


@dataclass(frozen=True)
class Disagreement:
    """kind: one of those above. first, last: numbers, the same but for a row of missing ones."""

    kind: str
    first: int
    last: int

    @property
    def words(self) -> str:
        """As in "Document 7 is not what was issued." """
        if self.first == self.last:
            return f"Document {self.first} {FAULT_WORDS[self.kind]}."
        return f"Documents {self.first} to {self.last} are missing."


def linked(
    invoice: Mapping[str, object], lines: Sequence[Mapping[str, object]], *, series: str, previous: str, salt: str
) -> Linked:
    """The next link. previous: the value before it, FIRST for the first. salt: not to be guessed, 16 bytes or more."""
    words_hash = _words_hash(invoice, lines, salt)
    return Linked(salt, words_hash, previous, _value(invoice, lines, series, previous, words_hash))


def faults(documents: Iterable[Frozen], *, series: str, last: int) -> Iterator[Disagreement]:
    """What does not agree, in order. documents: of one series, by number. last: the last number given out."""
    expected, previous = 1, FIRST
    for document in documents:
        number, link = document.number, document.link
        if number > expected:
            yield Disagreement(MISSING, expected, number - 1)
        if number > last:
            yield Disagreement(TOO_MANY, number, number)
        if link is None:
            yield Disagreement(UNLINKED, number, number)
        else:
            yield from (Disagreement(kind, number, number) for kind in _wrong(document, link, series))
            if number == expected and previous and link.previous != previous:
                yield Disagreement(OUT_OF_PLACE, number, number)
        expected, previous = number + 1, link.value if link else ""
    if expected <= last:
        yield Disagreement(MISSING, expected, last)


def _wrong(document: Frozen, link: Linked, series: str) -> Iterator[str]:
    invoice, lines = document.invoice, document.lines
    if link.salt:
        is_changed = link.words_hash != _words_hash(invoice, lines, link.salt)
    else:
        is_changed = False
        if not document.may_be_wordless:
            yield WORDLESS
    if is_changed or link.value != _value(invoice, lines, series, link.previous, link.words_hash):
        yield CHANGED


def _value(
    invoice: Mapping[str, object], lines: Sequence[Mapping[str, object]], series: str, previous: str, words_hash: str
) -> str:
    stays = {"form": FORM, "series": series, "previous": previous, "words": words_hash}
    return fingerprint(stays | _picked(invoice, STAYS) | {"lines": [_picked(line, LINE_STAYS) for line in lines]})


def _words_hash(invoice: Mapping[str, object], lines: Sequence[Mapping[str, object]], salt: str) -> str:
    words = [_picked(line, LINE_MAY_GO) for line in lines]
    return fingerprint({"salt": salt, "lines": words} | _picked(invoice, MAY_GO))


def _picked(row: Mapping[str, object], names: Sequence[str]) -> dict[str, object]:
    return {name: plain(row[name]) for name in names}
