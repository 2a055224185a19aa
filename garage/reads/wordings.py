"""How the shop words its messages, and what their placeholders stand for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from garage.core.mail.reminders import BEGUN, FINISHED, NOT_BEGUN
from garage.core.mail.wording import WORDED
from garage.core.text.languages import amid, told, told_later
from garage.models.reminders import Wording
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.output.addresses import reminders_address, sheet_address, visit_address
from garage.reads import links
from garage.reads.arrival import arrive_at

FREE = "free_text"  # what a person writes to an owner in words of their own
SHEET_WORDS = {
    NOT_BEGUN: told_later("You have not begun the check sheet yet."),
    BEGUN: told_later("You have begun the check sheet, but it is not sent yet."),
    FINISHED: told_later("Your check sheet is here, thank you."),
}


@dataclass(frozen=True, slots=True)
class ShopWording:
    """is_own: worded by the shop, not as delivered."""

    what: str
    is_on: bool
    is_own: bool
    subject: str
    text: str

    @property
    def title(self) -> str:
        return WORDED[self.what].title

    @property
    def note(self) -> str:
        return WORDED[self.what].note

    @property
    def when(self) -> str:
        return WORDED[self.what].when


def wordings() -> list[ShopWording]:
    """All that can be worded, in their order."""
    rows = {row.what: row for row in Wording.objects.all()}
    return [_wording(what, rows.get(what)) for what in WORDED]


def wording_of(what: str) -> ShopWording:
    return _wording(what, Wording.objects.filter(what=what).first())


def switched_off() -> frozenset[str]:
    return frozenset(wording.what for wording in wordings() if not wording.is_on)


def _wording(what: str, row: Wording | None) -> ShopWording:
    delivered = WORDED[what]
    if row is None:
        return ShopWording(what, delivered.is_on, False, delivered.subject, delivered.text)
    is_own = bool(row.text)
    return ShopWording(what, row.is_on, is_own, row.subject or delivered.subject, row.text or delivered.text)


def values_of(visit: Visit, shop: Shop) -> Mapping[str, str]:
    """The values of the placeholders that this room knows, in the language in force."""
    local, arrive = shop.local_time, arrive_at(visit)
    return {
        "owner": visit.owner.name,
        "machine": visit.machine.words,
        "visit": str(visit.number),
        "kind": amid(visit.kind.name),
        "when": local.in_words(visit.starts_at) if visit.starts_at else told("no time agreed yet"),
        "arrive": f"{local.shown(arrive):%H:%M}" if arrive else told("the agreed time"),
        "sheet_link": sheet_address(links.token(visit, links.SHEET)),
        "visit_link": visit_address(links.token(visit, links.VISIT)),
        "no_link": reminders_address(links.token(visit, links.REMINDERS)),
        "how_to_pay": shop.payment_words,
        "shop": shop.name,
        "telephone": shop.telephone,
    }
