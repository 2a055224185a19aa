"""The workshop's half: judgement, bench time, take-in, repair, runs, job card, invoice."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from decimal import Decimal

from diagnostics.core.gate_list import (
    BENCH_LINES,
    COMPRESSION,
    HIGHEST_REVS,
    REV_OUT_LINE,
    SECOND_LINE,
    STRAPPED_LINES,
    STROBE_LINE,
    Item,
)
from garage.core.money import pounds_words
from jobs.demo.garage import LOG_INS, MACHINE_KINDS
from jobs.tour.mails import enclosed, words_of
from jobs.tour.papers import pdf_words
from jobs.tour.stage import Stage
from jobs.tour.telling import Mismatch, found, read_back, squeezed
from jobs.tour.visitor import Visitor

PASSWORDS = {username: password for username, password, *_ in LOG_INS}
CAUSE = "pickup-misaligned"
SPEC_DEG = {f"{kind['make']} {kind['model']}": Decimal(str(kind["spec_btdc"])) for kind in MACHINE_KINDS}


def logs_in(visitor: Visitor, name: str) -> None:
    visitor.opens("/log-in/")
    visitor.presses("Log in", "", name=name, password=PASSWORDS[name])


def takes_the_deposit(stage: Stage, at: datetime) -> None:
    desk, facts = stage.desk, stage.facts
    stage.it_is(at)
    logs_in(desk, "desk")
    desk.opens(f"/visits/{stage.number}/")
    desk.follows("Take a deposit")
    desk.presses("Write it in the book", "", amount=str(facts.deposit), how="card")
    page = desk.opens(f"/visits/{stage.number}/")
    paid = read_back("deposit", "the visit's page", page.text, r"Deposit (£[\d.]+) paid", pounds_words(facts.deposit))
    stage.tell.says("The front desk takes a deposit of {}.", paid)


def judges(stage: Stage, at: datetime) -> None:
    """The boss sees the reasons and agrees, so the owner is asked how it is put right."""
    boss, tell = stage.boss, stage.tell
    tell.chapter("The judgement")
    stage.it_is(at)
    logs_in(boss, "boss")
    boss.follows("Look and decide")
    judged = read_back("route", "the findings page", boss.page.text, r"Judged: ([\w ]+?) Not roller-ready", "fix first")
    boss.presses("Yes: fix first")
    page = boss.opens("/fix-first/")
    listed = read_back("machine", "the fix-first list", page.text, rf"{stage.number} (\w+ \d+)", stage.facts.machine)
    asked = read_back("owner", "the fix-first list", page.text, r"(Its owner is asked)", "Its owner is asked")
    tell.says("Judged: {}. The boss says yes: {} how it is put right.", judged, asked.lower())
    tell.says("The {} is on the fix-first list.", listed)


def takes_in(stage: Stage, at: datetime) -> None:
    stage.it_is(at)
    stage.desk.opens("/day/")
    stage.desk.follows(f"Take in {stage.number}")
    stage.desk.presses("trailer", "", key_left="on", came_with="A box of jets")
    page = stage.desk.opens(f"/visits/{stage.number}/")
    came = read_back("take-in", "the visit's page", page.text, r"Came .+?, (on a trailer); key", "on a trailer")
    stage.tell.says("The machine of visit {} arrives {}, with its key.", str(stage.number), came)


def puts_it_right(stage: Stage, at: datetime) -> None:
    """The strobe climbs with the revs, so the pickup is not level with the magnets. A packer cures it."""
    boss, facts = stage.boss, stage.facts
    low = SPEC_DEG[facts.machine] - facts.low_by_deg
    high = low + facts.climbs_deg
    stage.it_is(at)
    _begins(boss, "fix first")
    for question, deg in (("strobe_idle", low), ("strobe_peak", high)):
        boss.opens(f"/visits/{stage.number}/findings/")
        boss.presses("Write it down", f"/{question}/", answer=deg)
    page = boss.opens(f"/visits/{stage.number}/findings/")
    judged = read_back("route", "the findings page", page.text, r"Judged: (do not run)", "do not run")
    stage.tell.says("On the bench the strobe reading climbs with the revs: {} until it is put right.", judged)
    stage.it_is(at + timedelta(minutes=facts.bench_minutes))
    boss.opens(f"/visits/{stage.number}/card/")
    _writes(
        boss,
        reading={"of": "", "words": "timing", "before": low, "after": high, "unit": "° BTDC"},
        part={"words": f"Packer {facts.packer_mm} mm", "quantity": 1, "price_each": facts.packer_price},
        work={"words": "Packer fitted under the stator plate"},
    )
    boss.presses("Write it down as the cause", "/cause/", fault=CAUSE)
    boss.presses("Write it down as OK", "/good/", fault="ht-side")
    card = boss.page.text
    stage.cause = found(r"What it was (.+?) Withdraw", squeezed(card), "the card")
    price = read_back("part", "the card", card, r"Packer [\d.]+ mm, (£[\d.]+) each", pounds_words(facts.packer_price))
    boss.presses("Finish: fix first")
    stage.tell.says("Cause: {}. A packer for {} goes under the stator plate.", stage.cause, price)
    _is_kept_off_until_it_is_strobed_again(stage)


def _is_kept_off_until_it_is_strobed_again(stage: Stage) -> None:
    """Put right is not enough: while the readings stand that stopped it, no time on the rollers is to be had."""
    boss, spec = stage.boss, SPEC_DEG[stage.facts.machine]
    stops = r"(It gets no roller time until the bench has looked at it)"
    page = boss.opens(f"/visits/{stage.number}/time/?at=roller&minutes=90")
    kept_off = read_back("stop", "the page for a time", page.text, stops, stops[1:-1])
    stage.tell.says("Before it is strobed again: “{}”.", kept_off)
    for question, deg in (("strobe_idle", spec), ("strobe_peak", spec - Decimal("0.5"))):
        boss.opens(f"/visits/{stage.number}/findings/")
        boss.presses("Write it down", f"/{question}/", answer=deg)
    page = boss.opens(f"/visits/{stage.number}/time/?at=roller&minutes=90")
    if re.search(stops, page.text):
        raise Mismatch(f"Visit {stage.number} is strobed in spec and still kept off the rollers.")


def passes_the_gate_at_the_bench(stage: Stage, at: datetime) -> None:
    mechanic, spec = stage.mechanic, SPEC_DEG[stage.facts.machine]
    stage.it_is(at)
    mechanic.opens(f"/visits/{stage.number}/gate/")
    mechanic.presses("Start the gate")
    readings = {"idle_rpm": 1400, "idle_deg": spec, "peak_rpm": stage.facts.peak_rpm, "peak_deg": spec - Decimal("0.5")}
    answers: dict[str, tuple[str, dict[str, object]]] = {
        COMPRESSION: ("In order", {"value": "9.5"}),
        STROBE_LINE: ("Save the strobe", readings),
        REV_OUT_LINE: ("clean", {}),
    }
    _answers(mechanic, BENCH_LINES, answers)
    stage.it_is(at + timedelta(minutes=18))
    mechanic.presses("Finish: at the bench")
    passed = read_back("gate", "the gate's page", mechanic.page.text, r"(Passed at the bench)", "Passed at the bench")
    stage.tell.says("{}: it does not leak, the timing holds, it revs out clean.", passed)


def passes_the_gate_strapped_down(stage: Stage, at: datetime) -> None:
    mechanic = stage.mechanic
    stage.it_is(at)
    mechanic.opens(f"/visits/{stage.number}/gate/")
    mechanic.presses("It stands on")
    answers: dict[str, tuple[str, dict[str, object]]] = {
        SECOND_LINE: ("In order", {"second_person": stage.garage.desk.pk}),
        HIGHEST_REVS: ("No limit today", {}),
    }
    _answers(mechanic, STRAPPED_LINES, answers)
    stage.it_is(at + timedelta(minutes=4))
    mechanic.presses("Finish: strapped down")
    page = mechanic.opens(f"/visits/{stage.number}/")
    passed = read_back("gate", "the visit's page", page.text, r"(Gate passed)", "Gate passed")
    stage.tell.says("{}: strapped down, extraction running, and a second person is within call.", passed)


def _answers(who: Visitor, lines: Iterable[Item], otherwise: Mapping[str, tuple[str, dict[str, object]]]) -> None:
    """Line by line, in order where nothing else is said."""
    for line in lines:
        button, typed = otherwise.get(line.id, ("In order", {}))
        who.presses(button, f"/answer/{line.id}/", **typed)


def goes_on_the_rollers(stage: Stage, at: datetime) -> None:
    stage.it_is(at)
    _begins(stage.mechanic, "set-up")


def stands_on_the_day_sheet(stage: Stage, at: datetime) -> None:
    """Drawn while the machine is on the rollers."""
    facts, day = stage.facts, stage.local.day(at)
    stage.it_is(at)
    paper = stage.desk.downloads(f"/day/{day}/day-sheet.pdf")
    stage.keep("day-sheet.pdf", paper)
    drawn = read_back("machine", "the day sheet", pdf_words(paper), rf"{stage.number} ({facts.machine})", facts.machine)
    stage.tell.says("The day sheet on paper shows the {} on the rollers.", drawn)


def comes_off_the_rollers(stage: Stage, at: datetime) -> None:
    mechanic, facts = stage.mechanic, stage.facts
    stage.it_is(at)
    mechanic.opens(f"/visits/{stage.number}/card/")
    _writes(mechanic, reading={"of": "", "words": "best pull", "after": facts.power, "unit": "kW"})
    best = read_back("power", "the card", mechanic.page.text, r"best pull: ([\d.]+) kW", facts.power)
    _ends(mechanic, "set-up")
    stage.tell.says("Its best pull: {} kW, with the jets it came with.", best)


def closes_the_card(stage: Stage, at: datetime) -> None:
    stage.it_is(at)
    stage.boss.opens(f"/visits/{stage.number}/card/")
    stage.boss.presses("causes")
    read_back("state", "the card", stage.boss.page.text, r"(Closed) \w+", "Closed")
    paper = stage.boss.downloads(f"/visits/{stage.number}/card/card.pdf")
    stage.keep("job-card.pdf", paper)
    words = pdf_words(paper)
    number = read_back("number", "the job card", words, r"Job card (\d+)", stage.number)
    cause = read_back("cause", "the job card", words, r"What it was \W*(.+?) \W*Checked, OK", stage.cause)
    stage.tell.says("Job card {} is closed with: {}.", number, cause)


def total_of(stage: Stage) -> Decimal:
    """The total expected by the story: session, bench labour by the clock in whole tenths of an hour, packer."""
    labour = stage.facts.labour_per_hour * (stage.facts.bench_minutes // 6) / 10
    return stage.facts.price + labour + stage.facts.packer_price


def invoices(stage: Stage, at: datetime) -> None:
    desk, facts = stage.desk, stage.facts
    total = total_of(stage)
    left = total - facts.deposit
    stage.it_is(at)
    desk.opens(f"/visits/{stage.number}/invoice/")
    desk.presses("Issue the invoice", "", buyer_address="3 Mill Brow\nAmbleford")
    page = desk.page.text
    said = read_back("total", "the invoice's page", page, r"Total including VAT (£[\d.,]+)", pounds_words(total))
    paid_before = read_back(
        "deposit", "the invoice's page", page, r"Deposit paid −(£[\d.]+)", pounds_words(facts.deposit)
    )
    number = found(r"Invoice (\d+)", page, "the invoice's page")
    stage.tell.says("Invoice {} comes to {}, less the deposit of {}.", number, said, paid_before)
    mail = stage.post("invoice", at=at)
    paper = enclosed(mail, "application/pdf")
    stage.keep("invoice.pdf", paper)
    words = pdf_words(paper)
    printed = read_back("total", "the invoice's paper", words, r"Total including VAT (£[\d.,]+)", pounds_words(total))
    to_pay = read_back("sum to pay", "the invoice's paper", words, r"(£[\d.,]+) to pay\b", pounds_words(left))
    told = read_back("sum to pay", "the mail with the invoice", words_of(mail),
                     r"To pay: (£[\d.,]+?)\.(?!\d)", pounds_words(left))  # fmt: skip
    stage.tell.says("The PDF says {}, with {} to pay. The email with it says {}.", printed, to_pay, told)


def is_paid_and_collected(stage: Stage, at: datetime) -> None:
    desk = stage.desk
    left = total_of(stage) - stage.facts.deposit
    stage.it_is(at)
    desk.opens(f"/visits/{stage.number}/")
    desk.presses("Ready: tell the owner")
    desk.follows("To the till")
    desk.presses("Write it in the book", "/payment/", amount=left, how="card")
    taken = read_back("payment", "the invoice's page", desk.page.text, r"(£[\d.,]+), card machine", pounds_words(left))
    desk.opens(f"/visits/{stage.number}/")
    desk.presses("It was collected")
    state = read_back("state", "the visit's page", desk.page.text, r"\. (Collected), ", "Collected")
    stage.tell.says("{} is paid at the till; {}.", taken, state.lower())


def _writes(who: Visitor, **lines: dict[str, object]) -> None:
    """Fills in what is given of each kind of line, and writes all of it on the card with one press."""
    typed = {f"{kind}-{name}": value for kind, given in lines.items() for name, value in given.items()}
    who.presses("Write it on the card", "/write/#write", **typed)


def _begins(who: Visitor, step: str) -> None:
    who.opens("/day/")
    who.presses(f"Start the {step}")


def _ends(who: Visitor, step: str) -> None:
    who.opens("/day/")
    who.presses(f"Finish the {step}")
