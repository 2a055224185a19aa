"""How long what is kept is kept: one table. The sweeps go by it, and the privacy page reads it out."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import datetime, timedelta

from garage.core.text.languages import told, told_later

MONTHS_A_YEAR = 12
_ONE = {
    "hour": told_later("an hour"),
    "day": told_later("a day"),
    "month": told_later("a month"),
    "year": told_later("a year"),
}
_MANY = {
    "hour": told_later("{hours} hours"),
    "day": told_later("{days} days"),
    "month": told_later("{months} months"),
    "year": told_later("{years} years"),
}
_COUNT_WORDS = {2: told_later("two"), 3: told_later("three"), 6: told_later("six"), 7: told_later("seven")}


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
            return told(_ONE[self.unit])
        many = _COUNT_WORDS.get(self.many)
        return told(_MANY[self.unit], **{f"{self.unit}s": told(many) if many else self.many})

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
    then: str


def _of_the_owner() -> KeptThing:
    return KeptThing(
        told("Your name, address, telephone number and email address, your machines and their registrations"),
        told("To know whose machine it is and to reach you."),
        told(
            "Until your last invoice may go; without an invoice, {without} after your last visit; if you never "
            "confirmed a booking, {unconfirmed} after its time.",
            without=NEVER_INVOICED.words,
            unconfirmed=NEVER_CONFIRMED.words,
        ),
        told("Taken out. What was found and done to the machine stays, without you."),
    )


def _of_the_work() -> tuple[KeptThing, ...]:
    return (
        KeptThing(
            told("What you tell us: check sheet, what you want done, clips of the engine and what was heard, photos"),
            told("To find out before the visit what is wrong, and to do the work."),
            told("{period} after the visit is over.", period=SHEETS.words),
            told(
                "Deleted. To judge better we keep which answers went with which fault, without name, machine or number."
            ),
        ),
        KeptThing(
            told("The job card: what was measured, found and fitted; estimates, and what you agreed to"),
            told("So that whoever works on the machine next knows what was done."),
            told("As long as we look after such machines."),
            told("Your name comes out of it when your name and address go."),
        ),
    )


def _of_the_papers() -> tuple[KeptThing, ...]:
    return (
        KeptThing(
            told("Invoices, deposits and payments, with name and address"),
            told("The law says so."),
            told("{period}, counted from the end of the business year.", period=INVOICES.words),
            told("Name, address, all words and the paper are deleted. The sums stay in the book."),
        ),
        KeptThing(
            told("Emails that we sent you"),
            told("To know what you were told."),
            told("{period}; what was enclosed, {enclosed}.", period=MAILS.words, enclosed=ENCLOSURES.words),
            told("Deleted."),
        ),
        KeptThing(
            told("Who changed what, and when"),
            told("To find out what went wrong, and who was let in."),
            told("As long as the garage keeps its books here."),
            told("Your name comes out of it when your name and address go."),
        ),
        KeptThing(
            told("A file of everything that the garage keeps, if it asks for one"),
            told("So that the garage can take its books elsewhere."),
            told("{period} at most. When an owner is erased, the file is deleted at once.", period=WHOLE_EXPORTS.words),
            told("Deleted here. What the garage has taken away it answers for itself."),
        ),
    )


def _of_the_browser() -> tuple[KeptThing, ...]:
    return (
        KeptThing(
            told("What you have typed while you book, under a cookie of your browser"),
            told("So that nothing you typed is lost."),
            told("{period} after you were last here.", period=SESSIONS.words),
            told("Deleted."),
        ),
        KeptThing(
            told("That a time was held or a link asked for, by a code that nobody can read an address from"),
            told("So that nobody books everything or writes to you a hundred times."),
            told("Times held, {held}; links asked for, {asked}.", held=HOLD_COUNTS.words, asked=ATTEMPTS.words),
            told("Deleted."),
        ),
    )


def kept_things(*, backups: int) -> tuple[KeptThing, ...]:
    """What is kept of owners and of people who work here. backups: how many daily ones stay."""
    in_copies = told("{days} days: what is deleted today is in a copy until then.", days=backups)
    for_long = told("As long as whoever looks after the computer keeps them.")
    copies = KeptThing(
        told("Copies of all this, in case the computer breaks"),
        told("So that nothing is lost."),
        in_copies if backups else for_long,
        told("Deleted."),
    )
    return (_of_the_owner(), *_of_the_work(), *_of_the_papers(), *_of_the_browser(), copies)
