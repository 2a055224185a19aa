"""The other owner: would come sooner, is offered the time that the first gave back, takes it, is invoiced."""

from __future__ import annotations

from datetime import datetime, timedelta

from garage.changes.visit.offers import offer_all_due
from garage.core.money import pounds_words
from jobs.tour import workshop_side
from jobs.tour.mails import enclosed, words_of
from jobs.tour.owner_side import confirms, who_comes
from jobs.tour.papers import pdf_words
from jobs.tour.stage import Stage
from jobs.tour.telling import Mismatch, found, read_back

WEEK = timedelta(days=7)
NOTICE_HOURS = 24  # the owner can come within a day


def books_and_would_come_sooner(stage: Stage, before: datetime, at: datetime) -> None:
    """A week after the first owner's time. before: that time."""
    owner, tell = stage.owner, stage.tell
    tell.chapter("Another owner books")
    stage.it_is(at)
    owner.opens(f"/book/set-up/?since={stage.local.day(before + WEEK)}")
    chosen = times_offered(stage)[0]
    stage.slot = datetime.fromisoformat(chosen)
    owner.presses(chosen)
    wants = "Nothing is wrong with it: I would like its curve."
    owner.presses("Check it all", "", wants=wants, sooner_notice_hours=NOTICE_HOURS, **who_comes(stage))
    asked = found(r"Sooner, if something comes free\s+(.+)", owner.page.text, "the page before booking")
    owner.presses("Book it")
    stage.number = int(found(r"Visit (\d+):", owner.page.text, "the page after booking"))
    confirms(stage, "sooner-to-confirm", at=at)
    mail = words_of(stage.post("sooner-confirmation", at=at))
    when = read_back("time", "the confirmation", mail, r"When: (.+?) Please be there", stage.words(stage.slot))
    stage.visit_link = found(r"(http\S+/visit/\S+)", mail, "the confirmation")
    tell.says("Visit {} is booked for {}. Sooner, if something comes free: {}", str(stage.number), when, asked)


def comes_sooner(stage: Stage, first: Stage, at: datetime) -> None:
    """first: the visit that gave its time back at that moment. The offer, the yes, and the work up to the invoice."""
    stage.tell.chapter("The time given back")
    link = _is_offered(stage, first, at)
    _says_yes(stage, first, link, at + timedelta(minutes=10))
    _works_it_through(stage)


def _is_offered(stage: Stage, first: Stage, at: datetime) -> str:
    """Nobody else sees the time meanwhile. Returns the link of the offer."""
    stage.it_is(at)
    offer_all_due(now=at)
    mail = words_of(stage.post("sooner-offer", at=at))
    number = read_back("visit", "the mail with the offer", mail, r"\(visit (\d+)\)", stage.number)
    words = stage.words(first.slot)
    when = read_back("time", "the mail with the offer", mail, r"\(visit \d+\): (.+?), on the rollers", words)
    until = found(r"open until (.+?):\s", mail, "the mail with the offer")
    if first.slot.isoformat() in _times_of_the_day(stage, first.slot):
        raise Mismatch(f"{words} is offered to visit {number} and yet on sale to everybody.")
    stage.tell.says("Visit {} gives back {}.", str(first.number), when)
    stage.tell.says("Before everybody else, visit {} is offered it, until {}.", number, until)
    return found(r"(http\S+/offer/\S+)", mail, "the mail with the offer")


def _says_yes(stage: Stage, first: Stage, link: str, at: datetime) -> None:
    """By the link of the mail. The time that it had before goes to whoever books it."""
    owner, had, words = stage.owner, stage.slot, stage.words(first.slot)
    stage.it_is(at)
    page = owner.opens(link)
    read_back("time", "the page of the offer", page.text, r"Free (.+?), on the rollers", words)
    owner.presses("yes")
    stage.slot = first.slot
    text = owner.opens(stage.visit_link).text
    number = read_back("visit", "the owner's page", text, r"Visit (\d+),", stage.number)
    now_has = read_back("time", "the owner's page", text, rf"Booked[\w ,]* ({words})", words)
    stage.tell.says("Its owner says yes by the link: visit {} has {} now.", number, now_has)
    if had.isoformat() not in _times_of_the_day(stage, had):
        raise Mismatch(f"The time given back, {stage.words(had)}, is not offered on the booking page.")
    stage.tell.says("The time that it had is on offer to everybody: {}.", stage.words(had))


def _works_it_through(stage: Stage) -> None:
    """It comes for the time it took, passes the gate, is run, and its card is closed."""
    slot, number = stage.slot, str(stage.number)
    workshop_side.takes_in(stage, slot - timedelta(minutes=45))
    workshop_side.passes_the_gate_at_the_bench(stage, slot - timedelta(minutes=40))
    workshop_side.passes_the_gate_strapped_down(stage, slot - timedelta(minutes=10))
    workshop_side.goes_on_the_rollers(stage, slot)
    workshop_side.comes_off_the_rollers(stage, slot + timedelta(minutes=85))
    stage.it_is(slot + timedelta(minutes=90))
    stage.boss.opens(f"/visits/{number}/card/")
    stage.boss.presses("nothing-wrong")
    closed = read_back("state", "the card", stage.boss.page.text, r"Closed .+?: (nothing wrong)", "nothing wrong")
    stage.tell.says("The card of visit {} is closed: {}.", number, closed)
    _is_invoiced(stage, slot + timedelta(minutes=95))
    workshop_side.is_paid_and_collected(stage, slot + timedelta(minutes=105))


def _is_invoiced(stage: Stage, at: datetime) -> None:
    total = pounds_words(workshop_side.total_of(stage))
    stage.it_is(at)
    stage.desk.opens(f"/visits/{stage.number}/invoice/")
    stage.desk.presses("Issue the invoice", "", buyer_address="8 Kiln Lane\nAmbleford")
    page = stage.desk.page.text
    said = read_back("total", "the invoice's page", page, r"Total including VAT (£[\d.,]+)", total)
    invoice = found(r"Invoice (\d+)", page, "the invoice's page")
    paper = enclosed(stage.post("sooner-invoice", at=at), "application/pdf")
    stage.keep("sooner-invoice.pdf", paper)
    read_back("sum to pay", "the invoice's paper", pdf_words(paper), r"(£[\d.,]+) to pay\b", total)
    stage.tell.says("Invoice {} is for visit {}: {}.", invoice, str(stage.number), said)


def is_counted_as_sold_again(stage: Stage, at: datetime) -> None:
    """As What we learned counts the minutes given back."""
    stage.tell.chapter("What we learned")
    stage.it_is(at)
    set_up = stage.garage.visit_kinds["set-up"]
    page = stage.boss.opens("/what-we-learned/")
    minutes = read_back("minutes", "What we learned", page.text, r"Sold again (\d+) £", set_up.minutes)
    price = pounds_words(stage.facts.price)
    worth = read_back("worth", "What we learned", page.text, r"Sold again \d+ (£[\d.,]+)", price)
    stage.tell.says("Of the times given back {} minutes were sold again, worth {}.", minutes, worth)


def _times_of_the_day(stage: Stage, instant: datetime) -> list[str]:
    stage.owner.opens(f"/book/set-up/?since={stage.local.day(instant)}")
    return times_offered(stage)


def times_offered(stage: Stage) -> list[str]:
    """On the page of times that stands open."""
    forms = stage.owner.page.forms
    return [button.value for form in forms for button in form.buttons if button.name == "starts_at"]
