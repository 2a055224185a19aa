"""The owner's half: books on a phone, fills in the check sheet, reads the result, pays."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta

from django.core.files.uploadedfile import SimpleUploadedFile

from diagnostics.hearing.tasks import decoder, hear_next
from garage.core.money import pounds_words
from jobs.demo.booking import CLIP
from jobs.tour.mails import begin_in, enclosed, words_of
from jobs.tour.pages import Button
from jobs.tour.stage import Stage
from jobs.tour.telling import found, read_back
from jobs.tour.visitor import Astray

FIRST_ANSWERS = (  # the question as asked, and the buttons pressed
    ("What made you book?", "misfires"),
    ("Where in the rev range?", "top"),
    ("What has been changed since it last ran right?", ("jets-bigger", "exhaust")),
    ("Has it seized or nipped up since it last ran right?", "no"),
    ("Does it rattle or pink under load?", "no"),
    ("How does it rev out on the stand?", "ceiling"),
    ("What colour is the plug after a hard run?", "tan"),  # this and the next two come with the new exhaust
    ("When you shut the throttle, how do the revs fall?", "quickly"),
    ("Is it better with a touch of choke where the trouble is?", "same"),
)
IS_LIST = "Your answers"
MOST_MORE = 13  # further questions in the bank
LEAST_AHEAD = timedelta(days=3)  # it is judged on the day after: with less than 36 h to go a person would ring


def books(stage: Stage) -> None:
    """From the front page to the confirmation mail with its calendar file."""
    facts, owner, tell = stage.facts, stage.owner, stage.tell
    tell.chapter("The booking")
    stage.it_is(facts.booked_on)
    front = owner.opens("/")
    price = read_back("price", "the front page", front.text, r"Set-up .*?(£[\d.,]+), 90 min", pounds_words(facts.price))
    tell.says("The front page offers a set-up for {}.", price)
    owner.follows("Book set-up")
    chosen = _picks_a_day_and_a_time(stage)
    stage.slot = datetime.fromisoformat(chosen.value)
    owner.presses(chosen.value)
    held = read_back("time held", "the second page", owner.page.text, r"Set-up, (.+?)\. Held", stage.words(stage.slot))
    wants = "It stutters at the top. Rich, I am sure: smaller jets, please."
    owner.presses("Check it all", "", wants=wants, **who_comes(stage))
    machine = read_back("machine", "the page before booking", owner.page.text, r"Machine (\w+ \d+)", facts.machine)
    owner.presses("Book it")
    stage.number = int(found(r"Visit (\d+):", owner.page.text, "the page after booking"))
    tell.says("{} is held open, and booked for the {} as visit {}.", held, machine, str(stage.number))
    confirms(stage, "to-confirm", at=facts.booked_on)
    _reads_the_confirmation(stage)


def confirms(stage: Stage, name: str, *, at: datetime) -> None:
    """By the link of the first mail: until then there is no other."""
    mail = words_of(stage.post(name, at=at))
    page = stage.owner.opens(found(r"(http\S+/confirm/)", mail, "the mail that asks"))
    when = read_back("time", "the page that asks", page.text, r"Rollers from (.+?) Where", stage.words(stage.slot))
    stage.owner.presses("Yes, I’m coming")
    stage.tell.says("A mail asks for one press, and the visit stands: {}.", when)


def who_comes(stage: Stage) -> dict[str, str]:
    """What every booking asks."""
    facts = stage.facts
    kind = next(value for value, words in stage.machine_kinds if words == facts.machine)
    return {"name": facts.name, "email": facts.email, "telephone": facts.telephone, "machine_kind": kind}


def _picks_a_day_and_a_time(stage: Stage) -> Button:
    """Any day of those shown that leaves its owner time to choose, once it is found that it is to be put right."""
    owner, booked_on = stage.owner, stage.local.day(stage.facts.booked_on)
    days = [address for _, address in owner.page.links if _is_day_from(address, booked_on + LEAST_AHEAD)]
    which, share = divmod(stage.facts.pick * len(days), 1.0)
    owner.opens(days[int(which)])
    times = [button for form in owner.page.forms for button in form.buttons if button.name == "starts_at"]
    return times[int(share * len(times))]


def _is_day_from(address: str, first: date) -> bool:
    """Whether the link leads to the times of a day not before that one."""
    day = re.search(r"day=([\d-]+)", address)
    return day is not None and date.fromisoformat(day.group(1)) >= first


def _reads_the_confirmation(stage: Stage) -> None:
    """The owner keeps this mail, so its links are used from here on."""
    facts = stage.facts
    mail = stage.post("confirmation", at=facts.booked_on)
    text = words_of(mail)
    to = read_back("addressee", "the confirmation", str(mail["To"]), r"(\S+@\S+)", facts.email)
    when = read_back("time", "the confirmation", text, r"When: (.+?) Please be there", stage.words(stage.slot))
    asked = read_back(
        "deposit", "the confirmation", text, r"We ask for a deposit of (£[\d.]+), and", pounds_words(facts.deposit)
    )
    stage.tell.says("An email to {} confirms {} and asks for a deposit of {}.", to, when, asked)
    content = enclosed(mail, "text/calendar")
    stage.keep("confirmation.ics", content)
    begins = stage.local.shown(begin_in(content))
    same = read_back("begin", "the diary file", begins.isoformat(), r"(.+)", stage.local.shown(stage.slot).isoformat())
    stage.tell.says("The diary file starts at {}.", same)
    stage.sheet_link = found(r"(http\S+/sheet/\S+)", text, "the confirmation")
    stage.visit_link = found(r"(http\S+/visit/\S+)", text, "the confirmation")


def fills_the_sheet(stage: Stage) -> None:
    """One question a page. The machine hits a ceiling on the stand, so it is not the jets."""
    owner, tell = stage.owner, stage.tell
    tell.chapter("The check sheet")
    stage.it_is(stage.facts.booked_on + timedelta(minutes=35))
    owner.opens(stage.sheet_link)
    owner.follows("Start")
    for question, answer in FIRST_ANSWERS:
        asked = read_back("question", "the check sheet", owner.page.text, rf"({re.escape(question)})", question)
        if isinstance(answer, tuple):
            owner.presses("Next", "", answer=list(answer))
        else:
            owner.presses(answer)
        tell.says("{} Answered.", asked)
    _answers_what_else_is_worth_asking(stage)
    owner.opens(stage.sheet_link)
    ceiling = read_back(
        "rev-out", "the list of answers", owner.page.text, r"rev out on the stand\? (It hits [\w ]+?) change",
        "It hits a ceiling and stutters there",
    )  # fmt: skip
    _sends_the_sound_of_it(stage)
    owner.opens(stage.sheet_link)
    owner.follows("Finish and send")
    owner.presses("Send the sheet")
    tell.says('The rev-out: "{}". The sheet is sent.', ceiling)
    stands = stage.words(stage.slot)
    slot = read_back("time", "the outcome", owner.page.text, r"It is (\w+ \d+ \w+ \d+, \d\d:\d\d)", stands)
    tell.says("The time is kept until the boss has looked: {}.", slot)


def _answers_what_else_is_worth_asking(stage: Stage) -> None:
    """Each answer decides the next question. The owner answers "not sure" until the sheet says that was all."""
    more = 0
    while IS_LIST not in stage.owner.page.text and more < MOST_MORE:
        stage.owner.presses("unsure")
        more += 1
    read_back("end", "the check sheet", stage.owner.page.text, rf"({IS_LIST})", IS_LIST)
    stage.tell.says("The owner is not sure about {} more that were worth asking.", str(more))


def _sends_the_sound_of_it(stage: Stage) -> None:
    """A clip, analysed by the worker's own task. The owner reads the verdict on the page it was sent from."""
    owner = stage.owner
    owner.follows("Record it or send a clip")
    owner.sends("Send this file", "/clip/", clip=SimpleUploadedFile("rev-out.webm", CLIP.read_bytes(), "audio/webm"))
    name = read_back("clip", "the clip page", owner.page.text, r"(rev-out\.webm), [\d.]+", "rev-out.webm")
    hear_next(lambda: stage.told.now)
    decoder.close()
    page = owner.opens(owner.path)
    heard = read_back(
        "verdict", "the clip page", page.text, r"(it hits a ceiling) at about [\d,]+ rpm", "it hits a ceiling"
    )
    ceiling = found(r"at about ([\d,]+ rpm)", page.text, "the clip page")
    stage.tell.says("The garage listens to the clip {}: {}, at about {}.", name, heard, ceiling)


def reads_that_it_is_put_right_first(stage: Stage, at: datetime) -> None:
    mail = stage.post("put-right-first", at=at)
    text = words_of(mail)
    number = read_back("visit", "the mail after the judgement", text, r"\(visit (\d+)\)", stage.number)
    pointed = read_back(
        "finding", "the mail after the judgement", text, r"(It hits a ceiling and stutters there)",
        "It hits a ceiling and stutters there",
    )  # fmt: skip
    stage.tell.says('The owner of visit {} reads what points to it: "{}".', number, pointed)


def leaves_it_with_the_garage(stage: Stage, at: datetime) -> datetime:
    """Of the two ways: the first free bench time after the day of the roller time, which is given back."""
    owner = stage.owner
    stage.it_is(at)
    owner.opens(stage.visit_link)
    owner.follows("Put it right yourself, or leave it with us")
    cost = found(r"(Bench work to find and mend it: .+?) at £", owner.page.text, "the page that asks the owner")
    owner.follows("See when you can bring it")
    owner.opens(f"{owner.path}?since={stage.local.day(stage.slot) + timedelta(days=1)}")
    times = [button.value for form in owner.page.forms for button in form.buttons if button.name == "starts_at"]
    if not times:
        raise Astray("No bench time is free in the days that can be booked.")
    bench_at = datetime.fromisoformat(times[0])
    owner.presses(times[0])
    owner.presses("Yes, I leave it with you", "", limit_pounds=stage.facts.limit_pounds)
    text = owner.opens(stage.visit_link).text
    words = stage.words(bench_at)
    given = read_back("bench time", "the owner's page", text, rf"Booked ({re.escape(words)})", words)
    mail = words_of(stage.post("bench-time", at=at))
    told = read_back("bench time", "the mail about the new time", mail, rf"Bring it: ({re.escape(words)})", words)
    agreed = read_back(
        "limit", "the mail about the new time", mail, r"bench work up to (£\d+)", f"£{stage.facts.limit_pounds}"
    )
    stage.tell.says("The owner leaves it with the garage. {}, and up to {} nobody asks again.", cost, agreed)
    stage.tell.says("It now has bench time: {}. The owner is told {}.", given, told)
    return bench_at


def sees_it_paid(stage: Stage, at: datetime) -> None:
    stage.it_is(at)
    page = stage.owner.opens(stage.visit_link)
    state = read_back("state", "the owner's page", page.text, r"(Ready to collect|Collected)", "Collected")
    paid = read_back("payment", "the owner's page", page.text, r"£[\d.,]+\. (Paid, thank you)", "Paid, thank you")
    cause = read_back(
        "cause", "the owner's page", page.text, r".*What was found (.+?) Checked, and not the cause", stage.cause
    )
    stage.tell.says('The owner\'s page says "{}", "{}", and what it was: {}.', state, paid, cause)
