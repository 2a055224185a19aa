"""Twelve usual tasks of each role, as the presses that lead from log-in to the page where the task is done.

A press is the name of a link, a button, or what unfolds. The last one does the task; it is looked for and not pressed.
"""

from __future__ import annotations

from jobs.demo import past

# Visits of the demo, after those of the year before, by where they stand.
NOT_PAID, TO_INVOICE, FAILED, RUNNING, HERE, COMING, ASKED, TO_RING, NO_TIME, TO_COME = (
    past.MANY + number for number in (2, 3, 4, 5, 6, 7, 8, 9, 11, 12)
)
_BOOK = ("Book by telephone", "ul.times button")
_TAKE_IN = (f"Take in {COMING}", "It is here, ridden")

TASKS: dict[str, dict[str, tuple[str, ...]]] = {
    "boss": {
        "give what runs a quarter of an hour more": ("15 minutes more",),
        "take the changes to the plan": ("Take these changes",),
        "decide on a judgement": ("Look and decide", "Yes: "),
        "book somebody who rings": _BOOK,
        "give a time to what is put right": ("nav >> Fix first", f"Give {NO_TIME} a time", "ul.times button"),
        "ring about a machine to put right": ("nav >> Fix first", "07700"),
        "see what is owed": ("The book", "Invoice "),
        "see the tax of a period": ("The book", "VAT of a period", "h1"),
        "sell over the counter": ("The book", "Sell over the counter", "Issue the invoice"),
        "make an invoice": ("More", "Visits", f"{TO_INVOICE} ", "Make the invoice"),
        "write on a card": ("More", "Cards", f"{FAILED} ", "Write it on the card"),
        "see how right the judgements were": ("More", "What we learned", "h1"),
    },
    "desk": {
        "book somebody who rings": _BOOK,
        "take a machine in": _TAKE_IN,
        "write down what an owner says": ("Ring list", "Write down what", "Write down", "Write it down"),
        "take a deposit that came": ("Ring list", "It came", "main form button.main"),
        "make an invoice": ("Visits", f"{TO_INVOICE} ", "Make the invoice"),
        "take a payment": ("Visits", f"To the till: {NOT_PAID}", "main form button.main"),
        "move a visit": ("Visits", f"Move it: {TO_COME}", "ul.times button"),
        "call a visit off": ("Visits", f"Call it off: {TO_COME}", "main form button"),
        "give a time to what has none": ("Visits", f"Give it a time: {NO_TIME}", "ul.times button"),
        "write to an owner": ("Visits", f"about {RUNNING}", "main form button"),
        "see which messages came back": ("More", "Sent", "h1"),
        "find an owner": ("More", "Owners", "main a"),
    },
    "mechanic": {
        "finish what runs": ("Finish the set-up",),
        "start what waits at the bench": ("Start the bench check",),
        "take a machine in": _TAKE_IN,
        "see what failed at the gate": ("More", "Fix first", f"Open {FAILED}", "The gate"),
        "open the gate": (f"{RUNNING} ", "The gate", "h1"),
        "write on a card": ("Cards", f"{RUNNING} ", "Write it on the card"),
        "put a part on a card": ("Cards", f"{RUNNING} ", "Part"),
        "stop the clock": ("Cards", f"{RUNNING} ", "Stop the clock"),
        "add a run": ("Cards", f"{RUNNING} ", "The curves, and add a run", "main form button"),
        "ask an owner about more work": ("Cards", f"{RUNNING} ", "Ask the owner", "main form button"),
        "see the findings": (f"{RUNNING} ", "Findings and judgement", "h1"),
        "read up a guide": ("Guides", "The rev-out", "h1"),
    },
}
