import re
from dataclasses import replace

import pytest

from diagnostics.core.judging.judgement import AskNext, Caution, Reason
from diagnostics.core.telling.judgement_words import finding_words
from diagnostics.core.telling.owner_words import (
    ASK_AGAIN,
    OFFER_A_SET_UP,
    Standing,
    cautions_for_the_owner,
    outcome,
    to_ask_words,
    what_pointed,
)
from diagnostics.reads.bank import the_bank
from garage.core import routes
from tests.diagnostics.core.telling.judged import RICH, judged

BLAME = re.compile(r"\b(wrong of you|your fault|should have|you forgot|carelessly)\b", re.I)


def standing(**given):
    values = {"is_roller_visit": True, "is_decided": True, "has_time": True, "deposit_words": "£30.00"}
    return Standing(**values | given)


@pytest.mark.parametrize("route", list(routes.WORDS))
@pytest.mark.parametrize("is_decided", [True, False])
def test_the_owner_reads_no_bare_chance_and_no_blame(route, is_decided):
    told = outcome(judged(rev_out="ceiling"), standing(is_decided=is_decided), route=route)
    text = " ".join((told.heading, *told.says, told.slot, told.deposit))
    assert not re.search(r"\d ?%|(?<!£3)0\.\d", text)
    assert not BLAME.search(text)
    assert told.slot
    assert "£30.00" in told.deposit


@pytest.mark.parametrize(
    ("route", "heading", "first", "last"),
    [
        (
            "roller-ready",
            "Ready for the rollers",
            "Nothing you’ve told us rules out the rollers. Bring it as agreed.",
            "",
        ),
        (
            "phone-first",
            "We will ring you",
            "Your answers leave one question open, and a call will settle it sooner than writing.",
            "Someone from the workshop will ring you before anything is moved.",
        ),
        (
            "fix-first",
            "The bench first, then the rollers",
            "What you’ve told us points to the ignition rather than to anything the rollers could cure.",
            "Jets cannot be chosen on an engine that breaks down for another reason, so the bench looks first.",
        ),
        (
            "do-not-run",
            "Please do not run it hard",
            "Do not hold it at full throttle, on the road or on the stand, and do not ride it hard.",
            "Bring it on a trailer or in a van. Trouble like this can harm an engine within seconds at full throttle, "
            "so the bench looks at it before it is run again.",
        ),
    ],
)
def test_each_route_has_its_heading_and_says_what_comes_next(route, heading, first, last):
    told = outcome(judged(rev_out="ceiling"), standing(), route=route)
    assert (told.heading, told.says) == (heading, (first, last) if last else (first,))


KEPT, NEW_TIME = "You keep your time on the rollers.", "We will agree a new time with you."
BENCH, BENCH_TIME = "Your bench time stands.", "We will write or ring with a bench time."
CHOOSE = "Put it right yourself and pick a new time, or leave it with us: choose on your visit’s page."
RINGS = "Your time on the rollers is close, so someone from the workshop rings you about it."
BY_TUESDAY = (
    "If we hear nothing by Tuesday, 09:00, your time on the rollers is given back, so that you do not pay for a "
    "session that could not help. Until then you keep it."
)
FOR_NOW = (
    "You keep your time on the rollers for now. Someone from the workshop will look at this and write to you before "
    "anything is moved."
)
GIVEN_BACK = (
    "Your time on the rollers is given back, so you do not pay for a session that could not help. We will write or "
    "ring with a time for the bench, and the rollers come after it."
)


@pytest.mark.parametrize(
    ("taken", "given", "slot"),
    [
        (("roller-ready", "phone-first"), {}, KEPT),
        (("roller-ready", "phone-first"), {"is_decided": False}, KEPT),
        (("roller-ready", "phone-first"), {"has_time": False}, NEW_TIME),
        (("fix-first", "do-not-run"), {}, GIVEN_BACK),
        (("fix-first", "do-not-run"), {"is_decided": False}, FOR_NOW),
        (("fix-first",), {"is_asked": True}, f"{CHOOSE} {RINGS}"),
        (("fix-first",), {"is_asked": True, "choose_by_words": "Tuesday, 09:00"}, f"{CHOOSE} {BY_TUESDAY}"),
        (("fix-first",), {"is_asked": True, "is_decided": False}, FOR_NOW),
        (("do-not-run",), {"is_asked": True}, GIVEN_BACK),
        (("roller-ready",), {"picks_a_time": True, "has_time": False}, "Now pick a new time on your visit’s page."),
        (("phone-first",), {"picks_a_time": True, "has_time": False}, NEW_TIME),
        (tuple(routes.WORDS), {"is_roller_visit": False}, BENCH),
        (tuple(routes.WORDS), {"is_roller_visit": False, "has_time": False}, BENCH_TIME),
    ],
)
def test_the_owner_reads_what_becomes_of_the_time(taken, given, slot):
    assert [outcome(judged(), standing(**given), route=route).slot for route in taken] == [slot] * len(taken)


@pytest.mark.parametrize(
    ("taken", "given", "deposit"),
    [
        (("roller-ready", "phone-first"), {}, "Your deposit of £30.00 stands."),
        (("fix-first", "do-not-run"), {}, "Your deposit of £30.00 is kept as credit for the later date."),
        (
            ("fix-first", "do-not-run"),
            {"is_decided": False},
            "If the time is moved, your deposit of £30.00 is kept as credit for the later date.",
        ),
        (tuple(routes.WORDS), {"is_roller_visit": False}, "Your deposit of £30.00 stands."),
        (tuple(routes.WORDS), {"deposit_words": ""}, ""),
    ],
)
def test_the_owner_reads_what_becomes_of_the_deposit(taken, given, deposit):
    assert [outcome(judged(), standing(**given), route=route).deposit for route in taken] == [deposit] * len(taken)


def test_what_points_to_do_not_run_are_the_findings_that_fired_it():
    pointed = what_pointed(the_bank(), judged(pinking="yes", plug="speckled", rev_out="ceiling"))
    assert len(pointed) == 2
    assert "rattle" in pointed[0]
    assert "plug" in pointed[1]


def test_what_points_to_the_bench_are_answers_for_the_likeliest_group():
    pointed = what_pointed(the_bank(), judged(rev_out="ceiling", damp="yes"))
    assert any("ceiling" in line for line in pointed)


def test_what_speaks_most_against_nothing_being_wrong_points_to_the_bench_too():
    """With a shop's own base rates an answer may move "nothing wrong" more than the group that it is a sign of."""
    against = Reason("rev_out=ceiling", "nothing-wrong", -2.7)
    judgement = replace(judged(rev_out="ceiling"), because=(against,))
    assert [("ceiling" in line) for line in what_pointed(the_bank(), judgement)] == [True]
    assert what_pointed(the_bank(), replace(judgement, route=routes.ROLLER_READY)) == []


def test_what_points_to_a_route_are_at_most_three_answers_that_speak_for_it_strongest_first():
    spoke = [("damp=yes", "ignition", 1.0), ("heat=worse-hot", "ignition", -1.0), ("plug=white", "fuel-air", 1.0)]
    spoke += [(f"{question}=yes", "ignition", 0.5) for question in ("pinking", "nipped", "earths")]
    because = tuple(Reason(*one) for one in spoke)
    ignition = {"ignition": 0.9, "fuel-air": 0.1, "mechanical": 0.1, "nothing-wrong": 0.05}
    judgement = replace(judged(), because=because, groups=ignition, route=routes.FIX_FIRST)
    bank = the_bank()
    assert what_pointed(bank, judgement) == [
        finding_words(bank, answer) for answer in ("damp=yes", "pinking=yes", "nipped=yes")
    ]
    assert len(what_pointed(bank, judgement, most=4)) == 4


def test_what_points_to_the_rollers_is_only_what_speaks_for_nothing_being_wrong():
    because = (
        Reason("damp=no", "nothing-wrong", 0.5),
        Reason("rev_out=ceiling", "nothing-wrong", -0.4),
        Reason("plug=white", "fuel-air", 0.3),
    )
    judgement = replace(judged(), because=because, route=routes.ROLLER_READY)
    assert what_pointed(the_bank(), judgement) == [finding_words(the_bank(), "damp=no")]


def test_do_not_run_is_not_repeated_among_the_cautions():
    judgement = judged(fuel="wrong-mix")
    assert Caution.STOPPED in judgement.cautions
    told = cautions_for_the_owner(judgement)
    assert len(told) == len(judgement.cautions) - 1
    assert told[0].startswith("Drain the petrol")


def test_the_ring_list_asks_what_is_worth_most_and_then_what_was_left_open():
    judgement = replace(judged(), ask_next=AskNext("rev_out", 300.0))
    lines = to_ask_words(the_bank(), judgement, ["plug", "rev_out"])
    assert lines == [the_bank().question(q).ask for q in ("rev_out", "plug")]
    assert to_ask_words(the_bank(), replace(judgement, ask_next=None), []) == [ASK_AGAIN]


def test_a_rich_engine_on_a_power_run_is_first_offered_a_set_up():
    asked = ["plug"]
    assert to_ask_words(the_bank(), judged(booked="power-run", **RICH), asked)[0] == OFFER_A_SET_UP
    assert OFFER_A_SET_UP not in to_ask_words(the_bank(), judged(booked="set-up", **RICH), asked)


def test_at_most_four_questions_are_put_on_the_telephone_and_an_offer_comes_on_top():
    bank, questions = the_bank(), ["plug", "damp", "heat", "fuel", "kick"]
    asked = [bank.question(question).ask for question in questions]
    plain = replace(judged(), ask_next=None)
    assert to_ask_words(bank, plain, questions) == asked[:4]
    assert to_ask_words(bank, plain, questions, most=2) == asked[:2]
    rich = replace(judged(booked="power-run", **RICH), ask_next=None)
    assert to_ask_words(bank, rich, questions) == [OFFER_A_SET_UP, *asked[:4]]


def leaking(**answers):
    return judged(remarks=["leaks-petrol"], **answers)


def test_the_owner_of_a_leaking_machine_is_told_not_to_start_it():
    told = outcome(leaking(trouble="none", rev_out="clean"), standing(), route=routes.DO_NOT_RUN)
    assert told.heading == "Please do not start it"
    assert "tap off" in " ".join(told.says)
    assert "full throttle" not in " ".join(told.says)
    assert what_pointed(the_bank(), leaking(trouble="none")) == ["It leaks petrol."]
    both = outcome(leaking(pinking="yes"), standing(), route=routes.DO_NOT_RUN)
    assert "full throttle" in " ".join(both.says)
    assert not {Caution.STOPPED, Caution.LEAK} & set(leaking().cautions) - {Caution.STOPPED, Caution.LEAK}
    assert cautions_for_the_owner(leaking()) == []


@pytest.mark.parametrize(
    ("remark", "asked"),
    [("not-run-in", "How far has it run"), ("no-exhaust", "Which exhaust"), ("brakes-or-tyres", "brakes or tyres")],
)
def test_the_ring_list_asks_first_about_what_the_owner_ticked(remark, asked):
    judgement = judged(remarks=[remark], trouble="none", rev_out="clean")
    assert judgement.route == routes.PHONE_FIRST
    assert asked in to_ask_words(the_bank(), judgement, [])[0]
    assert len(what_pointed(the_bank(), judgement)) == 1
