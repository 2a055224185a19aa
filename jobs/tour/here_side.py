"""The machine is put right and stands here: a time on the rollers comes free, its owner is asked, and it takes it."""

from __future__ import annotations

from copy import copy
from datetime import datetime, timedelta

from garage.changes.visit.offers import offer_all_due
from garage.core.money import pounds_words
from jobs.tour.mails import words_of
from jobs.tour.owner_side import confirms, who_comes
from jobs.tour.sooner_side import times_offered
from jobs.tour.stage import Stage
from jobs.tour.telling import found, read_back
from jobs.tour.visitor import Astray

AFTER_THE_BENCH = timedelta(hours=3)  # that it is put right by then, and through the gate at the bench


def books_again(other: Stage, bench_at: datetime, at: datetime) -> Stage:
    """The other owner, for the afternoon of the day on which the machine left with us is on the bench."""
    stage = copy(other)
    owner, day = stage.owner, stage.local.day(bench_at)
    stage.tell.chapter("The other owner books again")
    stage.it_is(at)
    owner.opens(f"/book/set-up/?since={day}")
    times = [datetime.fromisoformat(one) for one in times_offered(stage)]
    later = [one for one in times if stage.local.day(one) == day and one >= bench_at + AFTER_THE_BENCH]
    if not later:
        raise Astray(f"No time on the rollers is free in the afternoon of {stage.words(bench_at)}.")
    stage.slot = later[0]
    owner.presses(stage.slot.isoformat())
    owner.presses("Check it all", "", wants="The curve once more, with the other pipe.", **who_comes(stage))
    owner.presses("Book it")
    stage.number = int(found(r"Visit (\d+):", owner.page.text, "the page after booking"))
    confirms(stage, "again-to-confirm", at=at)
    mail = words_of(stage.post("again-confirmation", at=at))
    when = read_back("time", "the confirmation", mail, r"When: (.+?) Please be there", stage.words(stage.slot))
    stage.visit_link = found(r"(http\S+/visit/\S+)", mail, "the confirmation")
    stage.tell.says("Visit {} is booked for {}.", str(stage.number), when)
    return stage


def takes_the_time(stage: Stage, given_up: Stage, at: datetime) -> datetime:
    """given_up: the visit that is called off at that moment. Returns when the machine in the building goes on."""
    stage.tell.chapter("The rollers come free")
    given_up.it_is(at)
    given_up.owner.opens(given_up.visit_link)
    given_up.owner.follows("Call it off")
    given_up.owner.presses("Yes, call it off")
    offer_all_due(now=at)
    link = _is_asked(stage, given_up, at)
    _says_yes(stage, given_up.slot, link, at + timedelta(minutes=6))
    return given_up.slot


def _is_asked(stage: Stage, given_up: Stage, at: datetime) -> str:
    """By mail, and the day sheet says so. Returns the link."""
    mail = words_of(stage.post("may-go-on", at=at))
    number = read_back("visit", "the mail with the question", mail, r"\(visit (\d+)\) is here", stage.number)
    words = stage.words(given_up.slot)
    when = read_back("time", "the mail with the question", mail, r"come free today: (.+?)\. May the work", words)
    price = pounds_words(stage.facts.price)
    costs = read_back("price", "the mail with the question", mail, r"costs (£[\d.,]+), as booked", price)
    link = found(r"(http\S+/offer/\S+)", mail, "the mail with the question")
    stage.tell.says("Visit {} is called off. The owner of visit {} is asked whether the work may go on {}: {}.",
                    str(given_up.number), number, when, costs)  # fmt: skip
    page = stage.desk.opens(f"/day/{stage.local.day(at)}/")
    until = found(r"may the work go on\? (Asked until \d\d:\d\d)\.", page.text, "the day sheet")
    stage.tell.says("The day sheet says who: {}.", until)
    return link


def _says_yes(stage: Stage, slot: datetime, link: str, at: datetime) -> None:
    owner, words = stage.owner, stage.words(slot)
    stage.it_is(at)
    page = owner.opens(link)
    read_back("time", "the page of the question", page.text, r"Free (.+?) It costs", words)
    owner.presses("yes")
    told = words_of(stage.post("goes-on", at=at))
    when = read_back("time", "the mail that it goes on", told, r"goes on the rollers: (.+?) Set-up costs", words)
    page = stage.desk.opens(f"/day/{stage.local.day(at)}/")
    answer = found(r"may the work go on\? (Yes: it goes on, \d\d:\d\d)\.", page.text, "the day sheet")
    stage.tell.says("Its owner says yes on the visit's page. {}. The machine has the rollers {}.", answer, when)
