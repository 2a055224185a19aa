import pytest

from diagnostics.core.gate_list import line_called
from diagnostics.core.gate_sheet import GateSheet
from diagnostics.core.telling.gate_words import answer_said
from diagnostics.reads.bank import the_bank
from tests.factories.diagnostics import gate_sheet


@pytest.mark.parametrize(
    ("line", "sheet", "said"),
    [
        ("leaks", GateSheet(), ""),
        ("leaks", GateSheet({"leaks": "ok"}), "in order"),
        ("leaks", GateSheet({"leaks": "bad"}, {"leaks": " at the tap "}), "not in order: at the tap"),
        ("drive", GateSheet({"drive": "na"}), "does not apply"),
        ("compression", GateSheet({"compression": "bad"}, compression=(4.0, "bar")), "not in order: 4 bar"),
        (
            "compression",
            GateSheet({"compression": "bad"}, {"compression": "cold"}, compression=(142.5, "psi")),
            "not in order: 142.5 psi; cold",
        ),
        ("compression", GateSheet({"compression": "na"}, {"compression": "no adapter"}), "not measured: no adapter"),
        ("mix", GateSheet({"mix": "ok"}, fuel_mix="98 octane, 1:40"), "in order: 98 octane, 1:40"),
        ("second-person", GateSheet({"second-person": "ok"}, second_person="Robin"), "in order: Robin"),
        ("highest-revs", GateSheet({"highest-revs": "ok"}, highest_rpm=6000), "not above this: 6000 rpm"),
        ("highest-revs", GateSheet({"highest-revs": "na"}), "no limit today"),
        ("rev-out", GateSheet(rev_out="not-done"), "Not done"),
        ("rev-out", GateSheet(), ""),
        ("strobe", gate_sheet(), "17° at 1,400 rpm, 16.5° at 9,000 rpm"),
        ("strobe", GateSheet(not_seen="cover"), "marks not seen: cover"),
        ("strobe", GateSheet(), ""),
    ],
)
def test_an_answer_is_said_with_what_was_found(line, sheet, said):
    assert answer_said(the_bank(), line_called(line), sheet) == said


def test_the_rev_out_is_said_in_the_bank_s_words():
    said = the_bank().question("rev_out").say("clean")
    assert answer_said(the_bank(), line_called("rev-out"), GateSheet(rev_out="clean")) == said
