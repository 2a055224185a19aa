"""The shell of the four commands, against the rules that all four keep (every_batch_command.txt)."""

import io
import json
import math
import sys
from decimal import Decimal
from itertools import cycle

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from garage.batch import jsonl, lines
from garage.core.errors import BadInput, Refused


def double(line):
    value = line.get("x")
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal) or not math.isfinite(value):
        raise BadInput("x", value, "a finite number")
    return {"twice": float(value * 2)}


def served(raw, answer=double, **more):
    out = io.StringIO()
    before, sys.stdin = sys.stdin, io.TextIOWrapper(io.BytesIO(raw))
    try:
        status = jsonl.serve("-", answer, out, **more)
    finally:
        sys.stdin = before
    return status, [json.loads(line) for line in out.getvalue().splitlines()]


def test_each_line_is_answered_in_order_and_all_good_is_status_0():
    assert served(b'{"x":1}\n{"x":2.5}\n') == (0, [{"twice": 2.0}, {"twice": 5.0}])


def test_answers_and_errors_repeat_the_case():
    status, answers = served('{"case":"Größe","x":1}\n{"case":"b","x":"y"}\n{"case":null,"x":1}'.encode())
    assert status == 1
    assert [answer.get("case") for answer in answers] == ["Größe", "b", None]
    assert answers[1]["line"] == 2
    assert answers[1]["error"].startswith("x is 'y'")


def test_a_case_that_is_not_a_string_is_an_error_that_names_it():
    status, [answer] = served(b'{"case":7,"x":1}')
    assert status == 1
    assert answer["error"] == "case is 7; allowed is any string."


def test_an_empty_file_gives_nothing_and_status_0(tmp_path):
    (tmp_path / "empty.jsonl").write_bytes(b"")
    out = io.StringIO()
    assert jsonl.serve(str(tmp_path / "empty.jsonl"), double, out) == 0
    assert out.getvalue() == ""


def test_a_file_with_a_byte_order_mark_and_blank_lines_counts_its_lines_as_an_editor_does():
    assert served(b'\xef\xbb\xbf\n \t\r\n{"x":1}\r\n\r\n{"x":null}') == (
        1,
        [{"twice": 2.0}, {"error": "x is missing; allowed is a finite number.", "line": 5}],
    )


def test_a_byte_order_mark_before_the_first_object_is_ignored():
    assert served(b'\xef\xbb\xbf{"x":1}') == (0, [{"twice": 2.0}])
    assert served(b"\xef\xbb\xbf") == (0, [])


@pytest.mark.parametrize("make", ["missing", "directory", "nul"])
def test_a_file_that_cannot_be_opened_is_one_error_with_line_0(tmp_path, make):
    source = {"missing": str(tmp_path / "none"), "directory": str(tmp_path), "nul": "a\0b"}[make]
    out = io.StringIO()
    assert jsonl.serve(source, double, out) == 1
    [answer] = [json.loads(line) for line in out.getvalue().splitlines()]
    assert answer["line"] == 0
    assert set(answer) == {"error", "line"}
    assert "cannot be opened" in answer["error"]


def test_a_closed_standard_input_is_one_error_with_line_0(monkeypatch):
    monkeypatch.setattr(sys, "stdin", None)
    out = io.StringIO()
    assert jsonl.serve("-", double, out) == 1
    assert json.loads(out.getvalue())["line"] == 0


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        (b'{"case":"c","x":NaN}', "x is 'NaN'"),
        (b'{"case":"c","x":-Infinity}', "x is '-Infinity'"),
        (b'{"case":"c","x":1,"deep":[[{"y":NaN}]]}', "deep[0][0].y is 'NaN'"),
        (b'{"case":"c","x":1e999}', "x is inf"),
        (b'{"case":"c","x":-1e999}', "x is -inf"),
        (b'{"case":"c","x":1' + b"0" * 5000 + b"}", "x is inf"),
        (b'{"case":"c","x":1,"note":"\xff"}', "not UTF-8 (byte 0xff"),
        (b'{"case":"c","x":true}', "x is True"),
    ],
)
def test_an_unusable_value_gives_an_error_with_its_case_and_the_stream_goes_on(bad, says):
    status, answers = served(bad + b'\n{"x":1}\n')
    assert status == 1
    assert says in answers[0]["error"]
    assert (answers[0]["line"], answers[0]["case"]) == (1, "c")
    assert answers[1] == {"twice": 2.0}


@pytest.mark.parametrize(
    "bad",
    [
        b"[" * 200_000,
        b'{"x":' * 100_000,
        b'{"x":' + b"[" * 100_000 + b"]" * 100_000 + b"}",
        b"null",
        b"[1]",
        b'"text"',
        b"{",
        b'{"x":1} {"x":2}',
        b'{"case":"\xff"}',
        b"\xff\xfe{\x00",
        b"\x00",
        b'{"case":NaN}',
    ],
)
def test_a_line_that_is_not_an_object_gives_an_error_and_the_stream_goes_on(bad):
    status, answers = served(bad + b'\n{"x":1}\n')
    assert status == 1
    assert set(answers[0]) == {"error", "line"}
    assert answers[1] == {"twice": 2.0}


@pytest.mark.parametrize("depth", [800, 900, 950, 990, 1010])
def test_a_nest_just_within_reach_never_breaks_the_stream(depth):
    status, answers = served(b'{"x":' + b"[" * depth + b"]" * depth + b'}\n{"x":1}\n')
    assert status == 1
    assert answers[0]["line"] == 1
    assert answers[1] == {"twice": 2.0}


def test_a_huge_number_in_an_unknown_key_is_ignored():
    assert served(b'{"x":1,"unknown":1e999}') == (0, [{"twice": 2.0}])


def test_a_line_too_long_is_an_error_and_the_next_one_is_answered(monkeypatch):
    monkeypatch.setattr(lines, "LINE_BYTES", 20)
    status, answers = served(b'{"x":1,"filler":"' + b"a" * 100 + b'"}\n{"x":1}\n' + b"9" * 21)
    assert status == 1
    assert [answer.get("line") for answer in answers] == [1, None, 3]


def test_numbers_are_read_as_decimals_where_the_command_asks_for_it():
    seen = []
    served(
        b'{"x":0.1,"y":1e-400,"z":1.' + b"1" * 3000 + b"}",
        lambda line: seen.append(line) or {},
        read_number=Decimal,
    )
    assert seen[0]["x"] == Decimal("0.1")
    assert seen[0]["y"] == 0
    assert float(seen[0]["z"]) == pytest.approx(10 / 9)


def test_a_refusal_is_shown_in_its_own_words():
    def refuse(line):
        raise Refused("Not today.")

    assert served(b"{}", refuse) == (1, [{"error": "Not today.", "line": 1}])


@pytest.mark.parametrize("broken", [lambda line: {"a": math.nan}, lambda line: 1 / 0, lambda line: {"a": object()}])
def test_a_bug_is_an_error_line_and_not_a_traceback(broken, capsys):
    status, [answer] = served(b'{"case":"k"}', broken)
    assert status == 1
    assert answer["case"] == "k"
    assert "program failed" in answer["error"]
    assert capsys.readouterr() == ("", "")


def from_input(serve, source, out):
    before, sys.stdin = sys.stdin, io.TextIOWrapper(source)
    try:
        return serve(out)
    finally:
        sys.stdin = before


def one_by_one(out):
    return jsonl.serve("-", no_thirteen, out)


def together(out):
    """The same, but three at once."""

    def answer_many(twices):
        assert 0 < len(twices) <= 3
        if 26 in twices:
            raise ZeroDivisionError
        return [{"twice": twice} for twice in twices]

    return jsonl.serve_many("-", lambda line: double(line)["twice"], answer_many, out, at_once=3)


def no_thirteen(line):
    if double(line)["twice"] == 26:
        raise ZeroDivisionError
    return double(line)


class Pieces(io.RawIOBase):
    """Bytes that come in pieces of these lengths, over and over."""

    def __init__(self, raw, lengths):
        self.left, self.lengths = raw, cycle(lengths)

    def readable(self):
        return True

    def readinto(self, buffer):
        piece, self.left = self.left[: (length := next(self.lengths))], self.left[length:]
        buffer[: len(piece)] = piece
        return len(piece)


GOOD, BROKEN = [b'{"x":1}', b'{"case":"d","x":2.5}'], [b'{"x":"no"}', b'{"x":13,"case":"b"}', b"[", b"\xff", b"9" * 60]


@settings(deadline=None)
@given(
    st.lists(st.sampled_from([*GOOD, *BROKEN, b"", b" \t"]), max_size=12),
    st.booleans(),
    st.lists(st.integers(1, 40), min_size=1, max_size=5),
)
def test_lines_answered_in_a_batch_are_written_as_if_one_by_one(given_lines, is_ended, lengths):
    raw = b"\xef\xbb\xbf" + b"\n".join(given_lines) + (b"\n" if is_ended else b"")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lines, "LINE_BYTES", 50)
        alone, many = io.StringIO(), io.StringIO()
        status = from_input(one_by_one, io.BytesIO(raw), alone)
        assert from_input(together, io.BufferedReader(Pieces(raw, lengths)), many) == status
    assert many.getvalue() == alone.getvalue()
    assert len(alone.getvalue().splitlines()) == sum(bool(line.strip()) for line in given_lines)


def test_in_a_batch_only_the_line_that_hits_a_bug_is_reported():
    out = io.StringIO()
    assert from_input(together, io.BytesIO(b'{"x":1}\n{"x":13,"case":"b"}\n{"x":2}\n{"x":3}'), out) == 1
    first, broken, *others = [json.loads(line) for line in out.getvalue().splitlines()]
    assert [first, *others] == [{"twice": 2.0}, {"twice": 4.0}, {"twice": 6.0}]
    assert (broken["line"], broken["case"]) == (2, "b")
    assert "program failed" in broken["error"]


@pytest.mark.parametrize("serve", [one_by_one, together])
def test_everything_received_is_answered_and_flushed_before_waiting_for_more(serve):
    flushed, seen_before_each_read = [""], []

    class Out(io.StringIO):
        def flush(self):
            flushed.append(self.getvalue())

    class Watched(Pieces):
        def readinto(self, buffer):
            seen_before_each_read.append(flushed[-1])
            return super().readinto(buffer)

    source = Watched(b'{"x":1}\n{"x":2}\n{"x":3}\n', [8, 12, 4])
    assert from_input(serve, io.BufferedReader(source), Out()) == 0
    answers = [f'{{"twice": {twice}}}\n' for twice in (2.0, 4.0, 6.0)]
    assert seen_before_each_read == ["", answers[0], "".join(answers[:2]), "".join(answers)]


def test_a_reader_that_goes_away_ends_the_stream_quietly(capsys):
    class Gone(io.StringIO):
        def write(self, text):
            raise BrokenPipeError

    assert jsonl.pour([jsonl.Reply("{}", failed=False)], Gone()) == 1
    assert capsys.readouterr() == ("", "")


def test_a_full_disk_is_one_sentence_on_standard_error(capsys):
    class Full(io.StringIO):
        def write(self, text):
            raise OSError(28, "No space left on device")

    assert jsonl.pour([jsonl.Reply("{}", failed=False)], Full()) == 1
    assert capsys.readouterr() == ("", "The answers cannot be written: No space left on device.\n")


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_give_one_object_for_each_line_that_is_not_blank(raw):
    status, answers = served(raw)
    lines = [line for line in raw.removeprefix(b"\xef\xbb\xbf").split(b"\n") if line.strip(b" \t\r\n")]
    assert len(answers) == len(lines)
    assert status == int(any("error" in answer for answer in answers))


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=8,
)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)  # a busy machine is no fault of the code
@given(st.lists(st.dictionaries(st.sampled_from(["x", "case", "other"]), json_values, max_size=3), max_size=4))
def test_any_objects_give_an_answer_or_a_sentence_each(objects):
    status, answers = served("\n".join(json.dumps(each) for each in objects).encode())
    assert len(answers) == len(objects)
    assert all(("twice" in answer) != ("error" in answer) for answer in answers)
    assert status == int(any("error" in answer for answer in answers))
