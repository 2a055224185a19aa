"""Who may see and do what: the rows of README's table, each with the addresses it stands for.

tests/rules/test_roles.py goes through every address with every method and every role.
"""

from __future__ import annotations

from dataclasses import dataclass

from garage.models.people import Person

BOSS, DESK, MECHANIC = Person.BOSS, Person.FRONT_DESK, Person.MECHANIC
STAFF = {BOSS: "boss", DESK: "front desk", MECHANIC: "mechanic"}  # in the order of the table
NOBODY = "no log-in"
HEAD = ("what", *STAFF.values(), NOBODY)
YES, NO, BY_LINK = "yes", "–", "by their link"

EVERYBODY = frozenset({*STAFF, NOBODY})
WORKSHOP = frozenset(STAFF)
MONEY = frozenset({BOSS, DESK})
BOSS_ONLY = frozenset({BOSS})


@dataclass(frozen=True)
class Deed:
    """words: as in the table of README.md. addresses: names of the URL configuration, one deed each. by_link: whoever
    holds the owner's personal link or the secret address, logged in or not.
    """

    words: str
    who: frozenset[str]
    addresses: tuple[str, ...]
    by_link: bool = False

    @property
    def cells(self) -> tuple[str, ...]:
        said = YES if not self.by_link else BY_LINK
        return (self.words, *(said if one in self.who else NO for one in (*STAFF, NOBODY)))


DEEDS = (
    Deed(
        "read front page, advice, guides and what is kept, choose a language, book, ask for a new link, log in and out",
        EVERYBODY,
        (
            *("front", "ask-me", "book-time", "book-hold", "book-who", "book-look", "book-confirm", "booked"),
            *("guides", "guide", "language"),
            *("privacy", "fresh-link", "log-in", "log-in-code", "log-out", "security-txt"),
        ),
    ),
    Deed("with an empty garage's one-time code: make the first log-in", EVERYBODY, ("begin",)),
    Deed(
        "an owner's visit: sheet, clips, moving, calling off, choice, standby, offers, estimate, extra work, bill",
        EVERYBODY,
        (
            *("sheet", "sheet-question", "sheet-send", "sheet-outcome"),
            *("sheet-clip", "sheet-clip-delete", "sheet-clip-sound", "sheet-clip-picture"),
            *("owner-visit", "owner-call-off", "owner-move", "owner-choose", "owner-leave", "owner-leave-look"),
            "owner-guides",
            *("owner-guide", "owner-time", "owner-standby", "owner-offer", "owner-go-on", "owner-reminders"),
            *("owner-confirm", "owner-invoice", "owner-credit-note", "owner-asked", "owner-asked-photo"),
            *("owner-report", "owner-report-pdf", "owner-curve", "owner-estimate", "owner-estimate-pdf"),
            *("owner-clip", "owner-clip-sound", "owner-clip-picture"),
        ),
        by_link=True,
    ),
    Deed(
        "the week; the day sheet: accept its plan, begin, end and fix its steps; fix first, ring list and standby",
        WORKSHOP,
        (
            *("week", "week-of", "day-sheet", "day-sheet-on", "day-sheet-pdf", "plan-accept"),
            *("step-begin", "step-pause", "step-late", "step-end", "step-pin", "step-pin-look"),
            *("fix-first", "ring-list", "ring-list-done", "ring-list-nobody", "standby"),
            "ring-list-confirm",
        ),
    ),
    Deed("the day for the wall; one's own calendar", WORKSHOP, ("wall", "account-feed")),
    Deed("read a person's or a station's calendar, or the wall", EVERYBODY, ("feed", "wall-by-link"), by_link=True),
    Deed(
        "visits: book, move, put off, call off, set state and limit, standby, come-backs, take in, photos, links",
        WORKSHOP,
        (
            *("visits", "visit", "desk-booking", "visit-move", "visit-move-look", "visit-time", "visit-bench-limit"),
            *("visit-call-off", "visit-put-off", "visit-did-not-come", "visit-state", "visit-choice", "deposit-wait"),
            *("visit-standby", "visit-offer", "visit-go-on", "take-in", "photo", "photo-add", "photo-delete"),
            *("visit-link", "visit-link-picture", "visit-link-revoke", "visit-link-send", "visit-come-back"),
        ),
    ),
    Deed(
        "owners and machines: look them up, their history, measures and timing",
        WORKSHOP,
        (
            *("owners", "owner", "machine", "machine-measures", "machine-degrees", "machine-packers"),
            "strobe-picture",
        ),
    ),
    Deed(
        "write to an owner, tell them about its safety; every message sent, sending it again, saying that it was told",
        WORKSHOP,
        (
            *("visit-write", "visit-safety", "sent", "sent-message", "sent-again", "sent-told", "enclosure"),
            *("delivery-report", "visit-guides"),
        ),
    ),
    Deed(
        "findings, remarks and clips; say what becomes of a judgement",
        WORKSHOP,
        (
            *("findings", "finding-record", "finding-right", "finding-unright", "remark-told", "remark-put-right"),
            *("judgement-act", "judgement-leave"),
            *("clip", "clip-add", "clip-sound", "clip-picture", "clip-verdict", "clip-verdict-back"),
            *("clip-again", "clip-delete"),
        ),
    ),
    Deed(
        "the gate: begin it, answer it, put the machine on the rollers and take it off",
        WORKSHOP,
        (
            *("gate", "gate-begin", "gate-answer", "gate-bench-end", "gate-bench-again", "gate-on", "gate-off"),
            *("gate-end", "gate-packers", "gate-packers-back"),
        ),
    ),
    Deed("let a failed gate through, where that is allowed at all", BOSS_ONLY, ("gate-override",)),
    Deed(
        "the job card: clock, lines, outcomes, causes, ask the owner, close it, report, come-backs, service reminders",
        WORKSHOP,
        (
            *(
                "cards",
                "card",
                "card-pdf",
                "visit-report-pdf",
                "card-write",
                "card-add",
                "card-line-strike",
                "card-close",
            ),
            *("card-labour-start", "card-labour-stop", "card-labour-right", "card-outcome", "card-outcome-back"),
            *("card-cause-withdraw", "card-cause-late", "card-cause-correct", "card-cause-none"),
            *("card-came-back", "card-did-not-come-back", "card-service", "card-service-off"),
            *("card-ask", "card-asked", "card-ask-again", "card-part-came", "card-part-off"),
        ),
    ),
    Deed(
        "roller runs: import them, look at their curves, strike one out",
        WORKSHOP,
        (
            *("visit-runs", "visit-runs-picture", "visit-runs-wall", "visit-runs-wall-picture"),
            *("run-file", "run-csv", "run-strike"),
        ),
    ),
    Deed("reopen a closed card", BOSS_ONLY, ("card-reopen",)),
    Deed(
        "read an invoice, or an estimate, and write down what its owner said to it",
        WORKSHOP,
        ("invoice", "invoice-pdf", "invoice-ubl", "estimate", "estimate-pdf"),
    ),
    Deed(
        "estimates: write, issue and withdraw them, put one to a visit, its lines on card and invoice",
        MONEY,
        (
            *("visit-estimate", "machine-estimate", "estimate-draft", "estimate-line-strike", "estimate-discard"),
            *("estimate-withdraw", "estimate-take-over", "estimate-use"),
        ),
    ),
    Deed(
        "issue invoices, take and give back money, keep a deposit, charge a come-back, hand the machine over; the book",
        MONEY,
        (
            *("invoice-issue", "payment-add", "deposit-add", "deposit-keep", "visit-collected", "the-book"),
            *("visit-come-back-charge", "credit-note-issue", "invoice-credit", "hand-line-add", "hand-line-strike"),
            *("invoice-above", "counter-sale", "book-archive", "book-vat", "book-owed", "book-journal"),
            *("owner-statement", "owner-statement-pdf"),
        ),
    ),
    Deed(
        "join owners or machines listed twice, and part them again",
        MONEY,
        ("owners-doubles", "owners-join", "machines-join", "join-undo"),
    ),
    Deed("hand an owner all that is kept about them, or erase them", MONEY, ("owner-data", "owner-erase")),
    Deed(
        "one's own password, second factor and log-ins",
        WORKSHOP,
        ("account", "second-factor", "log-in-end", "log-ins-end", "round-away", "round-again"),
    ),
    Deed("search owners, machines, visits, cards and invoices", WORKSHOP, ("search",)),
    Deed("what we learned", WORKSHOP, ("learned", "learned-weeks", "learned-bands", "learned-faults")),
    Deed("set up a new garage, page by page, and open it", BOSS_ONLY, ("begin-page", "begin-open")),
    Deed(
        "what needs mending: disk, database, book, workers, mail server, backups, clips", BOSS_ONLY, ("needs-mending",)
    ),
    Deed(
        "take away everything that the garage keeps, in one file",
        BOSS_ONLY,
        ("shop-everything", "everything-ask", "everything-take", "everything-forget"),
    ),
    Deed(
        "the shop: settings, hours, kept free, people, stations, rollers, kinds, lists, parts, packers, messages",
        BOSS_ONLY,
        (
            *("shop", "shop-hours", "shop-days", "shop-day-forget", "shop-kept-free", "shop-messages", "shop-message"),
            *("shop-stations", "shop-station-rename", "shop-station-remove", "shop-kinds", "shop-kind"),
            *("shop-machine-kinds", "shop-machine-kind", "shop-station-feed", "shop-wall"),
            *("shop-lists", "shop-list", "shop-list-take", "shop-list-forget"),
            *("shop-packers", "shop-packer-alter", "shop-packer-remove"),
            *("shop-people", "shop-person", "shop-person-hours", "shop-person-away", "shop-person-there"),
            *("shop-person-log-ins", "shop-rollers", "shop-parts", "shop-part", "shop-part-remove"),
        ),
    ),
)
DEED_OF = {address: deed for deed in DEEDS for address in deed.addresses}

# Pressed there, the password is asked for again a quarter of an hour after it was last given (garage/views/doors.py).
ASK_ANEW = (
    *("shop", "shop-hours", "shop-days", "shop-day-forget", "shop-kept-free", "shop-message"),
    *("shop-kinds", "shop-kind", "shop-stations", "shop-station-rename", "shop-station-remove"),
    *("shop-people", "shop-person", "shop-person-hours", "shop-person-away", "shop-person-there"),
    *("shop-person-log-ins", "log-in-end", "log-ins-end", "second-factor"),
    *("shop-station-feed", "shop-wall", "account-feed", "visit-link-revoke", "everything-ask", "everything-take"),
)
