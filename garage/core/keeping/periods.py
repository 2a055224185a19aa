"""How long what is kept is kept: one table. The sweeps go by it, and the privacy page reads it out."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import datetime, timedelta

MONTHS_A_YEAR = 12
_COUNT_WORDS = {1: "a", 2: "two", 3: "three", 6: "six", 7: "seven"}


@dataclass(frozen=True)
class Period:
    """unit: "hour", "day", "month" or "year"."""

    many: int
    unit: str

    @property
    def words(self) -> str:
        """
        >>> [Period(1, "day").words, Period(1, "hour").words, Period(12, "month").words, Period(6, "year").words]
        ['a day', 'an hour', '12 months', 'six years']
        """
        if self.many == 1:
            return f"{'an' if self.unit == 'hour' else 'a'} {self.unit}"
        return f"{_COUNT_WORDS.get(self.many, str(self.many))} {self.unit}s"

    @property
    def length(self) -> timedelta:
        """Of hours and days: months have no one length."""
        return timedelta(**{f"{self.unit}s": self.many})

    def before(self, now: datetime) -> datetime:
        """What began earlier than this is past its time. A month has the same day, or its last one.

        >>> Period(12, "month").before(datetime(2028, 2, 29, 9, 30))
        datetime.datetime(2027, 2, 28, 9, 30)
        >>> Period(14, "day").before(datetime(2028, 1, 10))
        datetime.datetime(2027, 12, 27, 0, 0)
        """
        if self.unit in ("hour", "day"):
            return now - self.length
        months = now.year * MONTHS_A_YEAR + now.month - 1 - self.many * (MONTHS_A_YEAR if self.unit == "year" else 1)
        year, month = months // MONTHS_A_YEAR, months % MONTHS_A_YEAR + 1
        return now.replace(year=year, month=month, day=min(now.day, monthrange(year, month)[1]))


SHEETS = Period(12, "month")  # since the visit was over
MAILS = Period(12, "month")  # since it was sent
ENCLOSURES = Period(3, "month")  # the same file as on the owner's page, or a diary entry that is past
# The tax office may ask for six years, counted from the end of the business year (HMRC, Notice 700/21 and the rules for
# companies; from memory). When a garage's business year ends is not known here: at most a year after the invoice.
INVOICES = Period(6, "year")
BUSINESS_YEAR = Period(1, "year")
NEVER_INVOICED = Period(24, "month")  # of an owner without an invoice, since the last visit was over
NEVER_CONFIRMED = Period(1, "month")  # of an owner whose bookings online all lapsed, since the last was to be
SESSIONS = Period(14, "day")  # since it was last used: a phone on the bench stays logged in
ATTEMPTS = Period(1, "day")
HOLD_COUNTS = Period(1, "hour")
SENT_FORMS = Period(90, "day")  # nobody sends a form that has stood open for longer; common practice, no source
WHOLE_EXPORTS = Period(1, "day")  # it holds everything: no longer than somebody needs to take it away
LISTS = Period(1, "day")  # it holds names and numbers of people: no longer than somebody needs to look at it


def invoices_before(now: datetime) -> datetime:
    """Invoices issued earlier than this need not be kept any more, whenever the business year ends."""
    return INVOICES.before(BUSINESS_YEAR.before(now))


@dataclass(frozen=True)
class KeptThing:
    """A row of the privacy page, in plain words."""

    what: str
    why: str
    how_long: str
    then: str = "Deleted."


KEPT_ANYWAY = (
    KeptThing(
        "Your name, address, telephone number and email address, your machines and their registrations",
        "To know whose machine it is and to reach you.",
        f"Until your last invoice may go; without an invoice, {NEVER_INVOICED.words} after your last visit; if you "
        f"never confirmed a booking, {NEVER_CONFIRMED.words} after its time.",
        "Taken out. What was found and done to the machine stays, without you.",
    ),
    KeptThing(
        "What you tell us: check sheet, what you want done, clips of the engine and what was heard, photos",
        "To find out before the visit what is wrong, and to do the work.",
        f"{SHEETS.words} after the visit is over.",
        "Deleted. To judge better we keep which answers went with which fault, without name, machine or number.",
    ),
    KeptThing(
        "The job card: what was measured, found and fitted; estimates, and what you agreed to",
        "So that whoever works on the machine next knows what was done.",
        "As long as we look after such machines.",
        "Your name comes out of it when your name and address go.",
    ),
    KeptThing(
        "Invoices, deposits and payments, with name and address",
        "The law says so.",
        f"{INVOICES.words}, counted from the end of the business year.",
        "Name, address, all words and the paper are deleted. The sums stay in the book.",
    ),
    KeptThing(
        "Emails that we sent you",
        "To know what you were told.",
        f"{MAILS.words}; what was enclosed, {ENCLOSURES.words}.",
    ),
    KeptThing(
        "Who changed what, and when",
        "To find out what went wrong, and who was let in.",
        "As long as the garage keeps its books here.",
        "Your name comes out of it when your name and address go.",
    ),
    KeptThing(
        "A file of everything that the garage keeps, if it asks for one",
        "So that the garage can take its books elsewhere.",
        f"{WHOLE_EXPORTS.words} at most. When an owner is erased, the file is deleted at once.",
        "Deleted here. What the garage has taken away it answers for itself.",
    ),
    KeptThing(
        "What you have typed while you book, under a cookie of your browser",
        "So that nothing you typed is lost.",
        f"{SESSIONS.words} after you were last here.",
    ),
    KeptThing(
        "That a time was held or a link asked for, by a code that nobody can read an address from",
        "So that nobody books everything or writes to you a hundred times.",
        f"Times held, {HOLD_COUNTS.words}; links asked for, {ATTEMPTS.words}.",
    ),
)


def kept_things(*, backups: int) -> tuple[KeptThing, ...]:
    """What is kept of owners and of people who work here. backups: how many daily ones stay."""
    return (
        *KEPT_ANYWAY,
        KeptThing(
            "Copies of all this, in case the computer breaks",
            "So that nothing is lost.",
            f"{backups} days: what is deleted today is in a copy until then."
            if backups
            else "As long as whoever looks after the computer keeps them.",
        ),
    )
