"""Messages that a shop may word itself: their placeholders, the check of a text, and its filling in."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from garage.core.errors import BadInput
from garage.core.mail.reminders import (
    DAY_BEFORE,
    INVOICE_DUE,
    INVOICE_LATE,
    SERVICE,
    SHEET_EARLY,
    SHEET_LATE,
    STILL_HERE,
)
from garage.core.text.languages import told_later

READY, NO_SHOW = "ready_to_collect", "did_not_come"  # told at once, and at night in the morning
# below every text, whoever words it
DO_NOT_RUN = told_later("Please do not start or ride it. Bring it on a trailer or in a van.")

MEANS = {
    "owner": "the owner’s name",
    "machine": "the machine",
    "visit": "the number of the visit",
    "kind": "what is booked",
    "when": "day and time agreed",
    "arrive": "when to be here, before the rollers",
    "sheet_state": "whether the check sheet is begun, as a sentence",
    "sheet_link": "the link to the check sheet",
    "visit_link": "the link to the owner’s page",
    "invoice": "the number of the invoice",
    "to_pay": "what is left to pay",
    "how_to_pay": "how to pay, as set for the shop",
    "service": "what is to be done, with the distance if one was set",
    "no_link": "the link to say that no reminder is wanted",
    "shop": "the garage’s name",
    "telephone": "the garage’s telephone number",
}
_ALWAYS = ("owner", "machine", "visit", "kind", "visit_link", "shop", "telephone")
_BEFORE = (*_ALWAYS, "when", "arrive")
_SHEET = (*_BEFORE, "sheet_state", "sheet_link")
_PLACEHOLDER = re.compile(r"\{([^{}\n]*)\}")
LONGEST_SUBJECT, LONGEST_TEXT = 150, 3000  # characters


@dataclass(frozen=True, slots=True)
class Worded:
    """One message as it is delivered. when: for whom, and at what moment, in words. must_hold: its text is of no use
    without them. is_on: as delivered. note: what the shop should know before it words it.
    """

    title: str
    when: str
    placeholders: tuple[str, ...]
    must_hold: tuple[str, ...]
    subject: str
    text: str
    is_on: bool = True
    note: str = ""


class BadWording(BadInput):
    """A text that cannot be used. The sentence is its own."""

    def __init__(self, where: str, sentence: str) -> None:
        super().__init__(where, None, "")
        self.args = (sentence,)


WORDED: Mapping[str, Worded] = {
    SHEET_EARLY: Worded(
        title="Check sheet, three days before",
        when="72 h before the time, if the check sheet is not finished",
        placeholders=_SHEET,
        must_hold=("sheet_link",),
        subject=told_later("Your check sheet for the {machine}, before {when}"),
        text=told_later(
            "Hello {owner},\n\nYour {machine} is booked for {kind}: {when}. {sheet_state} It often shows "
            "whether something needs putting right first, so that you don't pay for a session that can't "
            "help:\n\n{sheet_link}\n\nIf you can't come after all, please say so now: {visit_link}"
        ),
    ),
    SHEET_LATE: Worded(
        title="Check sheet, last reminder",
        when="36 h before the time, if the check sheet is still not finished",
        placeholders=_SHEET,
        must_hold=("sheet_link",),
        subject=told_later("Still open: the check sheet for your {machine}"),
        text=told_later(
            "Hello {owner},\n\n{sheet_state} Your {machine} is expected {when}, and we would like to look at "
            "your answers before it comes. It often shows whether something needs putting right first, so "
            "that you don't pay for a session that can't help:\n\n{sheet_link}\n\nIf you can't come after all, "
            "please say so now: {visit_link}\n\nOr ring {telephone}, and we ask you."
        ),
    ),
    DAY_BEFORE: Worded(
        title="The visit, the day before",
        when="at noon of the day before the time",
        placeholders=_BEFORE,
        must_hold=("when",),
        subject=told_later("Visit {visit}: your {machine}, {when}"),
        text=told_later(
            "Hello {owner},\n\nWe expect your {machine} for {kind}: {when}. Please be here at {arrive}.\n\n"
            "Please bring the key, enough of the petrol it runs on (two-strokes: mixed as usual), the jets "
            "and spare plug you have, and the exhaust and filter it is to be run with.\n\nIf you can't come, "
            "please say so now, or ring {telephone}:\n\n{visit_link}"
        ),
    ),
    NO_SHOW: Worded(
        title="Did not come",
        when="when somebody says that it did not come; at night in the morning",
        placeholders=(*_ALWAYS, "when"),
        must_hold=(),
        subject=told_later("We expected your {machine}, {when}"),
        text=told_later(
            "Hello {owner},\n\nYour {machine} was booked for {kind}: {when}. It did not come, so its time has "
            "been given up. Has something gone wrong?\n\nRing {telephone}, and we find another time. What "
            "there is to know of visit {visit} is on its page:\n\n{visit_link}"
        ),
    ),
    READY: Worded(
        title="Ready to collect",
        when="when somebody says that it is ready; at night in the morning",
        placeholders=_ALWAYS,
        must_hold=(),
        subject=told_later("Your {machine} is ready to collect"),
        text=told_later(
            "Hello {owner},\n\nYour {machine} is ready: you can collect it while we are open. This is visit "
            "{visit}.\n\nWhat we found, and what there is to pay, is on your visit's page:\n\n{visit_link}"
        ),
    ),
    STILL_HERE: Worded(
        title="Still to collect",
        when="72 h after it was ready, if it is still here",
        placeholders=_ALWAYS,
        must_hold=(),
        subject=told_later("Your {machine} is waiting for you"),
        text=told_later(
            "Hello {owner},\n\nYour {machine} (visit {visit}) is ready and still with us. Please collect it "
            "while we are open, or ring {telephone} and tell us when you come.\n\n{visit_link}"
        ),
    ),
    INVOICE_DUE: Worded(
        title="Invoice due, to a private owner",
        when="at noon of the day on which an invoice is due, if something is left to pay",
        is_on=False,
        placeholders=(*_ALWAYS, "invoice", "to_pay", "how_to_pay"),
        must_hold=("invoice", "to_pay"),
        subject=told_later("Invoice {invoice}: {to_pay} to pay"),
        text=told_later(
            "Hello {owner},\n\nOf invoice {invoice} for your {machine}, {to_pay} is still to pay. "
            "{how_to_pay}\n\nThe invoice is on your visit's page:\n\n{visit_link}\n\nIf you have paid in the last "
            "days, please take no notice of this."
        ),
    ),
    INVOICE_LATE: Worded(
        title="Invoice late, to a business",
        when="at noon of the day after an invoice was due, if something is left to pay and its owner is a business",
        placeholders=(*_ALWAYS, "invoice", "to_pay", "how_to_pay"),
        must_hold=("invoice", "to_pay"),
        subject=told_later("Invoice {invoice} is overdue: {to_pay} to pay"),
        text=told_later(
            "Hello {owner},\n\nInvoice {invoice} for your {machine} is overdue: {to_pay} is still to pay. "
            "{how_to_pay}\n\nThe invoice is on your visit's page:\n\n{visit_link}\n\nIf you have paid in the last "
            "days, please take no notice of this."
        ),
        note="Of a business that pays late the law may let you claim interest and a fixed sum: in the United Kingdom "
        "the Late Payment of Commercial Debts (Interest) Act 1998. Whether you claim them, and in which words, is for "
        "you to say: write them into the text. As delivered it claims nothing. Private owners never get this message.",
    ),
    SERVICE: Worded(
        title="Service after a job",
        when="at noon of the day set on the card, unless the owner wants no reminders",
        placeholders=(*_ALWAYS, "service", "no_link"),
        must_hold=("service", "no_link"),
        subject=told_later("Your {machine}: {service}"),
        text=told_later(
            "Hello {owner},\n\nWhen your {machine} was last here (visit {visit}) we said we would remind you: "
            "{service}.\n\nRing {telephone} and we find a time for it.\n\nNo more of these, please? Say so "
            "here:\n\n{no_link}"
        ),
    ),
}


def check_wording(what: str, *, subject: str, text: str) -> None:
    """Raises BadWording with one sentence that says what is wrong and what is allowed.

    >>> check_wording("ready_to_collect", subject="Ready", text="Hello {ownr}")
    Traceback (most recent call last):
    garage.core.mail.wording.BadWording: The text has {ownr}, which is no placeholder of this message: allowed are \
{owner}, {machine}, {visit}, {kind}, {visit_link}, {shop} and {telephone}.
    """
    worded = WORDED[what]
    for where, given, longest in (("subject", subject, LONGEST_SUBJECT), ("text", text, LONGEST_TEXT)):
        if not given.strip():
            raise BadWording(where, f"The {where} is empty: write something, or switch the message off.")
        if len(given) > longest:
            raise BadWording(where, f"The {where} has {len(given)} characters: at most {longest} are allowed.")
        _check_placeholders(worded, where, given)
    for name in worded.must_hold:
        if f"{{{name}}}" not in text:
            raise BadWording("text", f"The text leaves out {{{name}}}, {MEANS[name]}: the message needs it.")


def _check_placeholders(worded: Worded, where: str, given: str) -> None:
    *most, last = [f"{{{name}}}" for name in worded.placeholders]
    allowed = f"allowed are {', '.join(most)} and {last}"
    for name in _PLACEHOLDER.findall(given):
        if name not in worded.placeholders:
            said = f"{{{name[:40]}}}"
            raise BadWording(where, f"The {where} has {said}, which is no placeholder of this message: {allowed}.")
    if stray := re.search(r".{0,15}[{}].{0,15}", _PLACEHOLDER.sub("", given)):
        said = stray.group().strip()
        raise BadWording(where, f"The {where} has a brace on its own near “{said}”: a placeholder stands between two.")


def filled_in(text: str, values: Mapping[str, str]) -> str:
    """The text with its placeholders replaced. One without a value stays as it is.

    >>> filled_in("Hello {owner}", {"owner": "Pat {machine}"})
    'Hello Pat {machine}'
    """
    return _PLACEHOLDER.sub(lambda found: values.get(found.group(1), found.group()), text)
