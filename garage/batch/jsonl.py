"""The JSON Lines shell of the commands: one object a line in, one object a line out, whatever the bytes.

A command hands over a function from one object to one object; nothing here knows what it computes. What is
written is ASCII, which is UTF-8 too: no terminal setting and no half surrogate can break it.
"""

from __future__ import annotations

import json
import math
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from functools import partial
from typing import Any, BinaryIO, NamedTuple, Protocol, TypeVar

from garage.batch import lines
from garage.batch.lines import NumberedLine, lines_at_hand
from garage.core.errors import BadInput, Showable

NUMBER_CHARACTERS = 1000  # a longer number is read as the nearest double
WHOLE_DIGITS = 300  # a longer whole number is read as infinite; a double ends near 1e308
INTERRUPTED = 130  # exit status after Ctrl-C, as shells count it

Object = dict[str, Any]
AnswerOne = Callable[[Object], Object]
ItemT = TypeVar("ItemT")


class Out(Protocol):
    """Where lines are written: standard output, or Django's wrapper of it."""

    def write(self, text: str, /) -> object: ...

    def flush(self) -> object: ...

    def fileno(self) -> int: ...


class Reply(NamedTuple):
    """One line of output and whether it tells of an error."""

    text: str
    failed: bool


class _Taken(NamedTuple):
    """What was read of a line: its number, what is known of it where it fails, and what is to be answered."""

    number: int
    known: Object
    item: Any


class _NotJson(NamedTuple):
    """Stands where NaN or Infinity was written, until the field it stands in is known."""

    text: str


def serve(source: str, answer: AnswerOne, out: Out, read_number: Callable[[str], Any] = float) -> int:
    """Answer every line of a file, or of standard input for "-", on `out`; return the exit status.

    answer: gives the object for one line or raises a Showable; what it raises becomes {"error", "line"}.
    read_number: makes a number of a literal with a point or exponent (Decimal where limits are exact).
    A number too large for a double comes as math.inf, so that `answer` can name its field.
    """
    each = partial(_each, answer)
    return pour(_replies(source, partial(_taken, lambda line: line, read_number), each, at_once=1), out)


def serve_many(
    source: str,
    read: Callable[[Object], ItemT],
    answer_many: Callable[[list[ItemT]], list[Object]],
    out: Out,
    at_once: int,
) -> int:
    """`serve` for answers that are quicker together; what is written is the same, byte for byte.

    read: makes of a line what is to be answered, or raises a Showable. answer_many: answers some, `at_once` at most, in
    their order. Together are only lines that lie there already: none waits for the next.
    """
    return pour(_replies(source, partial(_taken, read, float), answer_many, at_once), out)


def _each(answer: AnswerOne, found: list[Object]) -> list[Object]:
    return [answer(line) for line in found]


def pour(replies: Iterable[Reply], out: Out) -> int:
    """Write each reply as soon as it is known; return 0, 1 where any failed, 130 when interrupted."""
    status = 0
    try:
        for reply in replies:
            out.write(reply.text + "\n")
            out.flush()
            status = max(status, int(reply.failed))
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _let_go_of(out)
        return 1
    except OSError as error:
        _let_go_of(out)
        sys.stderr.write(f"The answers cannot be written: {error.strerror}.\n")
        return 1
    return status


def failure(sentence: str, line: int, known: dict[str, Any]) -> Reply:
    """The reply for a line that cannot be used; `known` is what could be read of it."""
    return Reply(json.dumps({"error": sentence, "line": line, **known}), failed=True)


def _replies(
    source: str,
    take: Callable[[NumberedLine], _Taken | Reply],
    answer_many: Callable[[list[Any]], list[Object]],
    at_once: int,
) -> Iterator[Reply]:
    number = 0
    try:
        with _opened(source) as stream:
            for at_hand in lines_at_hand(stream):
                while at_hand:
                    taken = [take(line) for line in at_hand[:at_once]]
                    number = at_hand[len(taken) - 1][0]
                    del at_hand[:at_once]
                    yield from _answered(taken, answer_many)
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        place = "opened" if number == 0 else f"read on after line {number}"
        sentence = f"FILE {source!r} cannot be {place} ({reason}); allowed is a readable file, or - for standard input."
        yield failure(sentence, number + 1 if number else 0, {})


def _opened(source: str) -> BinaryIO:
    if source != "-":
        return open(source, "rb")
    if sys.stdin is None:
        raise OSError(0, "standard input is closed")
    return sys.stdin.buffer


def _taken(read: Callable[[Object], Any], read_number: Callable[[str], Any], line: NumberedLine) -> _Taken | Reply:
    number, raw = line
    known: Object = {}
    try:
        if raw is None:
            raise BadInput("the line", "too long", f"a line of at most {lines.LINE_BYTES // 2**20} MiB")
        found = _parsed(raw, read_number)
        known = _case_of(found)
        _refuse_what_is_not_json(found)
        return _Taken(number, known, read(found))
    except Exception as error:  # noqa: BLE001  the stream must go on and no traceback may be shown: the error says what broke
        return _failed(error, number, known)


def _answered(taken: list[_Taken | Reply], answer_many: Callable[[list[Any]], list[Object]]) -> Iterator[Reply]:
    """The reply to each line, in their order."""
    answers = iter(_together([line for line in taken if isinstance(line, _Taken)], answer_many))
    return (line if isinstance(line, Reply) else next(answers) for line in taken)


def _together(taken: list[_Taken], answer_many: Callable[[list[Any]], list[Object]]) -> list[Reply]:
    """Lines answered together; where that fails each by itself, so that only the one that breaks it is told so."""
    try:
        answers = answer_many([line.item for line in taken]) if taken else []
    except Exception as error:  # noqa: BLE001  as above
        if len(taken) > 1:
            return [reply for line in taken for reply in _together([line], answer_many)]
        return [_failed(error, line.number, line.known) for line in taken]
    return [_told(line, answer) for line, answer in zip(taken, answers, strict=True)]


def _told(line: _Taken, answer: Object) -> Reply:
    try:
        return Reply(_encode(line.known | answer), failed=False)
    except Exception as error:  # noqa: BLE001  as above
        return _failed(error, line.number, line.known)


_encode = json.JSONEncoder(allow_nan=False).encode


def _failed(error: Exception, number: int, known: Object) -> Reply:
    if isinstance(error, Showable):
        return failure(error.sentence, number, known)
    if isinstance(error, UnicodeDecodeError):
        found = f"byte 0x{error.object[error.start]:02x} at place {error.start + 1}"
        sentence = f"the line is not UTF-8 ({found}); allowed is one JSON object in UTF-8."
        return failure(sentence, number, _case_despite(error.object))
    if isinstance(error, RecursionError):
        return failure(
            "the line nests too deeply to be read; allowed are a few brackets within each other.", number, known
        )
    sentence = f"the program failed at this line ({type(error).__name__}): please report it with the line."
    return failure(sentence, number, known)


def _parsed(raw: bytes, read_number: Callable[[str], Any]) -> dict[str, Any]:
    text = raw.decode("utf-8")
    try:
        line = json.loads(
            text,
            parse_float=lambda literal: _number(literal, read_number),
            parse_int=_whole_number,
            parse_constant=_NotJson,
        )
    except json.JSONDecodeError as error:
        at = f"{error.msg.lower()} at character {error.pos + 1}"
        raise Showable(f"the line is not JSON ({at}); allowed is one JSON object a line.") from error
    if not isinstance(line, dict):
        raise BadInput("the line", line, "one JSON object, in curly brackets")
    return line


def _number(literal: str, read_number: Callable[[str], Any]) -> Any:
    nearest = float(literal)
    if math.isinf(nearest):
        return nearest
    if nearest == 0:
        return read_number("0")
    return read_number(literal if len(literal) <= NUMBER_CHARACTERS else repr(nearest))


def _whole_number(literal: str) -> int | float:
    if len(literal) <= WHOLE_DIGITS:
        return int(literal)
    return -math.inf if literal.startswith("-") else math.inf


def _case_of(line: dict[str, Any]) -> dict[str, Any]:
    case = line.get("case")
    if case is None:
        return {}
    if not isinstance(case, str):
        raise BadInput("case", case.text if isinstance(case, _NotJson) else case, "any string")
    return {"case": case}


def _case_despite(raw: bytes) -> dict[str, Any]:
    """The case of a line that is not UTF-8, where it can be read all the same."""
    with suppress(Showable, RecursionError):
        known = _case_of(_parsed(raw.decode("utf-8", "replace").encode(), float))
        if "\ufffd" not in known.get("case", ""):
            return known
    return {}


def _refuse_what_is_not_json(line: dict[str, Any]) -> None:
    """Raise BadInput naming the field in which NaN or Infinity stands."""
    open_places: list[tuple[str, Any]] = list(line.items())
    while open_places:
        where, value = open_places.pop()
        if isinstance(value, _NotJson):
            raise BadInput(where, value.text, "what JSON knows: a finite number, a string, true, false, null")
        if isinstance(value, dict):
            open_places += [(f"{where}.{key}", inner) for key, inner in value.items()]
        elif isinstance(value, list):
            open_places += [(f"{where}[{index}]", inner) for index, inner in enumerate(value)]


def _let_go_of(out: Out) -> None:
    """Nobody reads any more: what Python still flushes when it ends goes nowhere, without a complaint."""
    with suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), out.fileno())
