"""The bank's file: nothing in it goes unread, each number has its limits, and what is wrong is named with its path."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from diagnostics.core.bank.bank import Access, Bank, Choice, Hearing, Retest, Spread
from diagnostics.core.bank.reader import read_bank
from diagnostics.reads.bank import BANK_FILE
from garage.core.errors import BadInput
from tests.diagnostics.core.bank.whole_text import PLAIN, TEXT
from tests.diagnostics.core.small_banks import small_bank_text

FIRST = BANK_FILE.read_text(encoding="utf-8")

WRONG = [
    ("chance = 0.035", "chance = 1.5", "fault.spark-module.chance"),
    ("chance = 0.035", "chance = -0.1", "fault.spark-module.chance"),
    ("chance = 0.035", "chance = nan", "fault.spark-module.chance"),
    ("chance = 0.035", 'chance = "often"', "fault.spark-module.chance"),
    ('group = "ignition"\nsay = "the ignition', 'group = "magic"\nsay = "the ignition', "fault.spark-module.group"),
    ('group = "ignition"\nsay = "the ignition', 'grupp = "ignition"\nsay = "the ignition', "fault.spark-module.group"),
    ("air-leak = { yes = 0.15 }", "air-leek = { yes = 0.15 }", "question.nipped.shows.air-leek"),
    ("air-leak = { yes = 0.15 }", "air-leak = { yes = 1.15 }", "question.nipped.shows.air-leak.yes"),
    ("air-leak = { yes = 0.15 }", "air-leak = { maybe = 0.15 }", "question.nipped.shows.air-leak.maybe"),
    ("air-leak = { yes = 0.15 }", "air-leak = { yes = 0.6, no = 0.5 }", "question.nipped.shows.air-leak"),
    ("background = { no = 0.94, yes = 0.06 }", "background = { no = 0.94, yes = 0.07 }", "question.damp.background"),
    ("background = { no = 0.94, yes = 0.06 }", "background = { no = 1.0 }", "question.damp.background.yes"),
    ('access = "clutch"\nclears = { clutch-slip = 1.0 }', "clears = { clutch-slip = 0.9 }", "clears.clutch-slip"),
    ('access = "clutch"\nclears', 'access = "clutch"\nopens_throttle = true\nclears', "clears.clutch-slip"),
    ('only_on = ["automatic"]', 'only_on = ["steam"]', "step.belt-cover.only_on"),
    ('of_machine = "oiling"', 'of_machine = "colour"', "question.oiling.of_machine"),
    ('then = "gauge"', 'then = "prayer"', "repair.low-compression.then"),
    ("on.automatic = {", "on.steam = {", "repair.clutch-slip.on.steam"),
    ("[repair.oil-pump]", "[repair.gremlins]", "repair.gremlins"),
    ('access = "flywheel"\nclears = { flywheel-key', 'access = "sump"\nclears = { flywheel-key', "step.key.access"),
    ('earths = "clean-tight", kill_lead', 'earths = "clean", kill_lead', "contradiction[6].answers.earths"),
    ("settled_by_call = 0.4", "settled_by_call = 4", "routing.settled_by_call"),
    ("limiter_from = 0.95", "limiter_form = 0.95", "heard.limiter_from"),
    ("most_at_once = 3", "most_at_once = 0", "model.most_at_once"),
    ("is_jetting = true", "is_jeting = true", "fault.main-jet-rich.is_jeting"),
    ('edition = "second-1"', "edition = 1", "edition"),
]


@pytest.mark.parametrize(("right", "wrong", "path"), WRONG)
def test_invalid_values_are_refused_with_their_full_path(right: str, wrong: str, path: str) -> None:
    assert right in FIRST
    with pytest.raises(BadInput) as refused:
        read_bank(FIRST.replace(right, wrong, 1))
    assert path in refused.value.where


def test_a_missing_source_is_refused_with_its_full_path() -> None:
    start = FIRST.index("[fault.ht-side]")
    source = FIRST.index("source =", start)
    without = FIRST[:source] + FIRST[FIRST.index("\n", source) + 1 :]
    with pytest.raises(BadInput) as refused:
        read_bank(without)
    assert refused.value.where == "fault.ht-side.source"


@pytest.mark.parametrize("text", ["", "not toml at all [", 'edition = "x"\n[model]\nmost_at_once = 4'])
def test_a_file_that_is_not_a_bank_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(BadInput):
        read_bank(text)


def test_a_small_bank_is_read_as_it_was_written() -> None:
    bank = read_bank(small_bank_text({"A": 0.1}, {"q": ({"no": 0.9, "yes": 0.1}, {"A": {"yes": 0.5}})}))
    assert bank.fault("A").chance == 0.1
    assert bank.question("q").shows == {"A": {"yes": 0.5}}


NUMBERS: list[tuple[str, str, float, float, Callable[[Bank], float]]] = [
    ("model", "most_at_once", 1, 6, lambda bank: bank.most_at_once),
    ("model", "equivalent_cards", 1, 10**6, lambda bank: bank.equivalent_cards),
    ("model", "ignition_worth_a_caution", 0, 1, lambda bank: bank.ignition_worth_a_caution),
    ("model", "fault_worth_a_caution", 0, 1, lambda bank: bank.fault_worth_a_caution),
    ("routing", "settled_by_call", 0, 1, lambda bank: bank.routing.settled_by_call),
    ("routing", "settled_by_call_at_most", 0, 1, lambda bank: bank.routing.settled_by_call_at_most),
    ("routing", "settled_more_by_a_contradiction", 0, 1, lambda bank: bank.routing.settled_more_by_a_contradiction),
    ("routing", "merely_rich", 0, 1, lambda bank: bank.routing.merely_rich),
    ("routing", "stopped_in_time_pence", 0, 10**9, lambda bank: bank.routing.stopped_in_time_pence),
    ("routing.costs", "slot_lost", 0, 10**9, lambda bank: bank.routing.costs["slot_lost"]),
    ("routing.costs", "bench_check", 0, 10**9, lambda bank: bank.routing.costs["bench_check"]),
    ("routing.costs", "call", 0, 10**9, lambda bank: bank.routing.costs["call"]),
    ("routing.costs", "bench_minute", 0, 10**9, lambda bank: bank.routing.costs["bench_minute"]),
    ("heard", "confidence_at_most", 0.5, 0.9999, lambda bank: bank.hearing.confidence_at_most),
    ("heard", "limiter_from", 0, 1, lambda bank: bank.hearing.limiter_from),
    ("heard", "limiter_not_below", 0, 1, lambda bank: bank.hearing.limiter_not_below),
    ("heard", "weight_without_design_rpm", 0, 1, lambda bank: bank.hearing.weight_without_design_rpm),
    ("heard", "own_verdict_confidence", 0.5, 1, lambda bank: bank.hearing.own_verdict_confidence),
    ("heard", "revs_out_from", 0, 1, lambda bank: bank.hearing.revs_out_from),
    ("heard", "revs_out_not_below", 0, 1, lambda bank: bank.hearing.revs_out_not_below),
    ("strobe", "reading_error_deg", 0.1, 10, lambda bank: bank.strobe.reading_error_deg),
    ("strobe", "wild_reading", 1e-6, 0.5, lambda bank: bank.strobe.wild_reading),
    ("strobe", "lowest_deg", -180, 180, lambda bank: bank.question("reading").lowest),
    ("strobe", "highest_deg", -180, 180, lambda bank: bank.question("reading").highest),
    ("strobe", "eases_back_by_design", 0.001, 0.999, lambda bank: bank.strobe.eases_back_by_design),
    ("strobe.eases_back_deg", "mean", -90, 90, lambda bank: bank.strobe.eases_back.mean),
    ("strobe.eases_back_deg", "spread", 0.01, 90, lambda bank: bank.strobe.eases_back.spread),
    ("strobe.healthy", "offset_spread", 0.01, 90, lambda bank: bank.strobe.healthy_offset_spread),
    ("strobe.healthy", "drift_mean", -90, 90, lambda bank: bank.strobe.healthy_drift.mean),
    ("strobe.healthy", "drift_spread", 0.01, 90, lambda bank: bank.strobe.healthy_drift.spread),
    ("strobe.offset.a", "mean", -90, 90, lambda bank: bank.strobe.offset["a"].mean),
    ("strobe.offset.a", "spread", 0, 90, lambda bank: bank.strobe.offset["a"].spread),
    ("fault.a", "chance", 1e-6, 0.9, lambda bank: bank.fault("a").chance),
    ("fault.c", "times.points", 0.001, 1000, lambda bank: bank.fault("c").times["points"]),
    ("question.sign", "cost_pence", 0, 10**6, lambda bank: bank.question("sign").cost_pence),
    ("question.changed", "times.jets.a", 0.001, 1000, lambda bank: bank.question("changed").factors["jets"]["a"]),
    ("access.cover", "minutes", 0, 10_000, lambda bank: bank.access_minutes["cover"]),
    ("retest.again", "minutes", 0, 10_000, lambda bank: bank.repairs["a"].retest.minutes),  # type: ignore[union-attr]
    ("repair.a", "minutes", 0, 10_000, lambda bank: bank.repairs["a"].minutes),
    ("step.more", "minutes", 0.1, 10_000, lambda bank: bank.steps[-2].minutes),
    ("step.more", "clears.a", 0, 1, lambda bank: bank.steps[-2].clears["a"]),
]


def with_number(table: str, key: str, value: float) -> str:
    """The text with another number. A key with dots lies in inline tables; so may the last part of the table."""
    outer, _, last = table.rpartition(".")
    if f"[{table}]" not in TEXT:
        table, key = outer, f"{last}.{key}"
    start = TEXT.index(f"[{table}]\n")
    for part in key.split("."):
        start = re.compile(rf"\b{part} = ").search(TEXT, start).end()  # type: ignore[union-attr]
    return TEXT[:start] + re.sub(r"^-?[\d.]+", repr(value), TEXT[start:])


@pytest.mark.parametrize(("table", "key", "least", "most", "read"), NUMBERS, ids=[f"{n[0]}.{n[1]}" for n in NUMBERS])
def test_each_number_is_read_up_to_its_limits_and_refused_beyond_them(
    table: str, key: str, least: float, most: float, read: Callable[[Bank], float]
) -> None:
    for value in (least, most):
        assert read(read_bank(with_number(table, key, value))) == value
    for value in (least - 1e-7, most + 1e-5):
        with pytest.raises(BadInput) as refused:
            read_bank(with_number(table, key, value))
        assert refused.value.where == f"{table}.{key}"
        assert refused.value.allowed == f"a number from {least:g} to {most:g}"


def test_a_bank_is_read_whole() -> None:
    bank = read_bank(TEXT)
    assert (bank.edition, bank.most_at_once, bank.fault_ids) == ("small", 2, ("a", "b", "c"))
    assert bank.hearing == Hearing(0.97, 0.95, 0.90, 0.5, 0.95, 0.90, 0.80)
    assert (bank.strobe.offset, bank.strobe.drift) == ({"a": Spread(-3.5, 2.5)}, {"b": Spread(1.5, 0.5)})
    fault = bank.fault("c")
    assert (fault.id, fault.group, fault.say, fault.is_jetting) == ("c", "mechanical", "c", True)
    assert (fault.spoils, fault.times) == ({"power-run", "bench"}, {"points": 2.0, "set-up": 0.5})
    assert not bank.fault("a").is_jetting
    assert (bank.access, bank.access_minutes) == ({"cover": Access("the cover off", 15.0)}, {"cover": 15.0})
    more = bank.steps[-2]
    assert (more.id, more.do, more.access, more.clears) == ("more", "Look under it", "cover", {"a": 0.25, "b": 0.75})
    assert (more.opens_throttle, more.makes_safe) == (True, ("sign=yes", "reading"))
    assert more.only_on == {"points", "automatic"}
    plain = bank.steps[0]
    assert (plain.access, plain.opens_throttle, plain.makes_safe, plain.only_on) == ("", False, (), frozenset())
    assert set(bank.repairs) == {"a", "b"}
    renewed, cleaned = bank.repairs["a"], bank.repairs["b"]
    assert (renewed.do, renewed.minutes, renewed.retest) == ("Renew it", 20.0, Retest("try it again", 4.0, True))
    assert renewed.on == {"points": ("Renew the points", 35.0)}
    assert (cleaned.do, cleaned.minutes, cleaned.retest, cleaned.on) == ("Clean it", 6.0, None, {})
    assert bank.contradictions == ({"sign": "yes", "test": "well"},)


def test_every_field_of_a_question_is_read() -> None:
    bank = read_bank(TEXT)
    asked = bank.question("changed")
    assert (asked.ask, asked.how, asked.cautions, asked.kind) == ("Changed?", ("Look.", "Say."), ("Hot.",), "several")
    assert (asked.nothing, asked.always, asked.not_on) == ("none", True, {"points", "automatic"})
    assert asked.answers == (Choice("jets", "Jets"), Choice("none", "Nothing"))
    assert (asked.not_when, asked.share) == ({"sign": ("yes",)}, {"jets": 0.25, "none": 0.75})
    assert (asked.factors, asked.background, asked.shows) == ({"jets": {"a": 3.0, "b": 0.5}}, {}, {})
    test = bank.question("test")
    assert test.said == {"well": {"well": 0.9, "ill": 0.1}, "ill": {"well": 0.3, "ill": 0.7}}
    assert test.shows == {"a": {"ill": 0.6}, "b": {"well": 0.1, "ill": 0.2}}
    assert (test.always, test.nothing, test.unit, test.not_when, test.not_on) == (False, "", "", {}, frozenset())
    assert asked.together == ((frozenset({"jets", "none"}), {"b": 0.5}),)
    oiled = bank.question("oiled")
    assert (oiled.of_machine, oiled.needs, oiled.background, oiled.share) == ("oiling", ("sign", "test"), {}, {})
    assert (test.of_machine, test.needs, test.together) == ("", (), ())
    reading = bank.question("reading")
    assert (reading.kind, reading.unit, reading.answers) == ("number", "degrees", ())
    assert (reading.lowest, reading.highest) == (-10.0, 60.0)


A_KEY = "a key that the bank's reader knows"
SHAPE = "either background and shows, or share and times"
NO_A = TEXT.replace("clears = { a = 1.0 }", "clears = { a = 0.9 }")
GROUPS, KINDS = "one of fuel-air, ignition, mechanical", "one of bench, power-run, set-up"
TRAITS = "one of automatic, battery, four-stroke, points, pump, vacuum-tap"


@pytest.mark.parametrize(
    ("right", "wrong", "where", "found", "allowed"),
    [
        ('group = "mechanical"', 'group = "magic"', "fault.c.group", "magic", GROUPS),
        ('spoils = ["power-run", "bench"]', 'spoils = ["rain"]', "fault.c.spoils", "rain", KINDS),
        (
            "times = { points = 2.0",
            "times = { rain = 2.0",
            "fault.c.times.rain",
            "rain",
            "one of automatic, battery, bench, four-stroke, points, power-run, pump, set-up, vacuum-tap",
        ),
        ('kind = "several"', 'kind = "many"', "question.changed.kind", "many", "one of number, one, several"),
        (', none = "Nothing" }', " }", "question.changed.answers", 1, "two answers or more"),
        ('nothing = "none"', 'nothing = "no"', "question.changed.nothing", "no", "one of jets, none"),
        ('not_on = ["points"', 'not_on = ["rain"', "question.changed.not_on", "rain", TRAITS),
        ('sign = ["yes"]', 'sign = ["often"]', "question.changed.not_when.sign", "often", "one of no, yes"),
        (
            '{ sign = ["yes"]',
            '{ rain = ["yes"]',
            "question.changed.not_when.rain",
            "rain",
            "one of changed, oiled, reading, sign, test",
        ),
        (
            "share = { jets",
            "background = { jets",
            "question.changed.kind",
            "several",
            "several only with share and times",
        ),
        ("share = { jets = 0.25, none = 0.75 }\n", "", "question.changed.background", "not as it should be", SHAPE),
        (
            "share = { jets",
            "background = { jets = 0.5, none = 0.5 }\nshare = { jets",
            "question.changed.background",
            "not as it should be",
            SHAPE,
        ),
        ("well = { well = 0.9, ill = 0.1 }, ill", "ill", "question.test.said", "ill", "a table for every answer"),
        ("{ well = 0.9, ill = 0.1 }", "{ well = 0.9, ill = 0.2 }", "question.test.said.well", "adding up to 1.1", None),
        ("none = 0.75 }", "none = 0.7 }", "question.changed.share", "adding up to 0.95", "chances that add up to 1"),
        ("jets = 0.25, none", "none", "question.changed.share.jets", None, "a chance for every answer"),
        ("none = 0.75 }", "rain = 0.75 }", "question.changed.share.rain", "rain", "one of jets, none"),
        (
            "{ well = 0.8, ill = 0.2 }",
            "{ well = 0.99995, ill = 0.00005 }",
            "question.test.background.ill",
            0.00005,
            None,
        ),
        ("shows = { a = { ill", "shows = { z = { ill", "question.test.shows.z", "z", "one of a, b, c"),
        ("a = { ill = 0.6 }", "a = { rain = 0.6 }", "question.test.shows.a.rain", "rain", "one of ill, well"),
        ("a = { ill = 0.6 }", "a = { ill = 0.991 }", "question.test.shows.a", "adding up to 0.991", "at most 0.99"),
        ("a = { ill = 0.6 }", "a = { ill = -0.1 }", "question.test.shows.a.ill", -0.1, "a number from 0 to 1"),
        ("times = { jets = {", "times = { rain = {", "question.changed.times.rain", "rain", "one of jets, none"),
        ("{ a = 3.0, b", "{ z = 3.0, b", "question.changed.times.jets.z", "z", "one of a, b, c"),
        ("[strobe.offset]\na", "[strobe.offset]\nz", "strobe.offset.z", "z", "one of a, b, c"),
        ("b = { mean = 1.5,", "b = { mean = 1.5, rain = 1,", "strobe.drift.b.rain", "not known", A_KEY),
        ("drift_mean = 0\n", "drift_mean = 0\nrain = 1\n", "strobe.healthy.rain", "not known", A_KEY),
        ("wild_reading = 0.02\n", "wild_reading = 0.02\nrain = 1\n", "strobe.rain", "not known", A_KEY),
        ("call = 600\n", "call = 600\nrain = 1\n", "routing.costs.rain", "not known", A_KEY),
        ("merely_rich = 0.5\n", "merely_rich = 0.5\nrain = 1\n", "routing.rain", "not known", A_KEY),
        ("limiter_from = 0.95\n", "limiter_from = 0.95\nrain = 1\n", "heard.rain", "not known", A_KEY),
        ('say = "the cover off"\n', 'say = "the cover off"\nrain = 1\n', "access.cover.rain", "not known", A_KEY),
        ('say = "the cover off"\n', "", "access.cover.say", None, "a text that is not empty"),
        ('do = "Look under it"\n', 'do = "Look under it"\nrain = 1\n', "step.more.rain", "not known", A_KEY),
        ('ask = "Tried?"\n', 'ask = "Tried?"\nrain = 1\n', "question.test.rain", "not known", A_KEY),
        ('say = "c"\n', 'say = "c"\nrain = 1\n', "fault.c.rain", "not known", A_KEY),
        ("equivalent_cards = 200\n", "equivalent_cards = 200\nrain = 1\n", "model.rain", "not known", A_KEY),
        ('edition = "small"\n', 'edition = "small"\nrain = 1\n', "rain", "not known", A_KEY),
        ('access = "cover"', 'access = "sump"', "step.more.access", "sump", "one of cover"),
        ('only_on = ["points"', 'only_on = ["rain"', "step.more.only_on", "rain", TRAITS),
        ("opens_throttle = true\nmakes", "opens_throttle = 1\nmakes", "step.more.opens_throttle", 1, "true or false"),
        (
            'of_machine = "oiling"',
            'of_machine = "rain"',
            "question.oiled.of_machine",
            "rain",
            "one of oiling, spec_curve",
        ),
        (
            'needs = ["sign"',
            'needs = ["rain"',
            "question.oiled.needs.rain",
            "rain",
            "one of changed, oiled, reading, sign, test",
        ),
        ('answers = ["jets"', 'answers = ["rain"', "question.changed.together[0].answers", "rain", "one of jets, none"),
        (
            "times = { b = 0.5 } }]",
            "times = { z = 0.5 } }]",
            "question.changed.together[0].times.z",
            "z",
            "one of a, b, c",
        ),
        ('then = "again"', 'then = "rain"', "repair.a.then", "rain", "one of again"),
        ("on.points = {", "on.rain = {", "repair.a.on.rain", "rain", TRAITS),
        ("[repair.b]", "[repair.z]", "repair.z", "z", "one of a, b, c"),
        ('do = "Clean it"\n', 'do = "Clean it"\nrain = 1\n', "repair.b.rain", "not known", A_KEY),
        ('do = "try it again"\n', 'do = "try it again"\nrain = 1\n', "retest.again.rain", "not known", A_KEY),
        ('points", minutes = 35', 'points", rain = 1, minutes = 35', "repair.a.on.points.rain", "not known", A_KEY),
        ("b = 0.75 }", "z = 0.75 }", "step.more.clears.z", "z", "one of a, b, c"),
        ('test = "well" }', 'test = "no" }', "contradiction[0].answers.test", "no", "one of ill, well"),
        (
            'test = "well" }',
            'rain = "well" }',
            "contradiction[0].answers.rain",
            "rain",
            "one of changed, oiled, reading, sign, test",
        ),
        ('test = "well" }\n', 'test = "well" }\nrain = 1\n', "contradiction[0].rain", "not known", A_KEY),
    ],
)
def test_a_part_that_does_not_fit_is_named(right: str, wrong: str, where: str, found: object, allowed: str) -> None:
    assert TEXT.count(right) == 1
    with pytest.raises(BadInput) as refused:
        read_bank(TEXT.replace(right, wrong))
    assert (refused.value.where, refused.value.found) == (where, found)
    assert refused.value.allowed == allowed or allowed is None


def test_every_fault_needs_a_step_that_clears_it_for_certain() -> None:
    with pytest.raises(BadInput) as refused:
        read_bank(NO_A)
    assert refused.value.where == "step.….clears.a"
    assert (refused.value.found, refused.value.allowed) == (
        None,
        "a step that clears it for certain (1.0), on all machines and without opening the throttle",
    )


@pytest.mark.parametrize("only", ["opens_throttle = true", 'only_on = ["points"]'])
def test_a_step_for_some_machines_or_with_the_throttle_open_is_not_enough_for_a_fault(only: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_bank(TEXT.replace("clears = { a = 1.0 }", f"{only}\nclears = {{ a = 1.0 }}"))
    assert refused.value.where == "step.….clears.a"


@pytest.mark.parametrize("part", ["fault", "question", "step"])
def test_a_bank_has_at_least_one_fault_one_question_and_one_step(part: str) -> None:
    kept = [piece for piece in PLAIN.split("\n[") if not piece.startswith(f"{part}.")]
    with pytest.raises(BadInput) as refused:
        read_bank("\n[".join(kept))
    assert (refused.value.where, refused.value.found) == (part, None)
    assert refused.value.allowed == f"at least one [{part}.…]"


def test_a_text_that_is_not_toml_is_refused_with_the_parser_s_own_words() -> None:
    with pytest.raises(BadInput) as refused:
        read_bank("a = ")
    assert (refused.value.where, refused.value.allowed) == ("bank", "a TOML file")
    assert str(refused.value.found).startswith("not TOML (Invalid value (at ")


def test_what_a_fault_shows_may_add_up_to_ninety_nine_in_a_hundred() -> None:
    bank = read_bank(TEXT.replace("{ well = 0.1, ill = 0.2 }", "{ well = 0.49, ill = 0.5 }"))
    assert bank.question("test").shows["b"] == {"well": 0.49, "ill": 0.5}
