"""The JSON Lines shell of the commands: one object per line in, one object per line out, whatever the input bytes.

A command passes a function from one object to one object. Nothing here knows what it computes. The output is ASCII,
and so also UTF-8, so that no terminal setting and no lone surrogate can break it.
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
from garage.batch.lines import NumberedLine, arrived_lines
from garage.core.errors import BadInput, Showable

NUMBER_CHARACTERS = 1000  # a longer number is rounded to the nearest double
WHOLE_DIGITS = 300  # a longer whole number is read as infinity; a double ends near 1e308
INTERRUPTED = 130  # exit status after Ctrl-C, as shells report it

Object = dict[str, Any]
AnswerOne = Callable[[Object], Object]
ItemT = TypeVar("ItemT")


class Out(Protocol):
    """Where lines are written: standard output, or Django's wrapper of it."""

    def write(self, text: str, /) -> object: ...

    def flush(self) -> object: ...

    def fileno(self) -> int: ...


class Reply(NamedTuple):
    """One line of output and whether it reports an error."""

    text: str
    failed: bool


class _Taken(NamedTuple):
    """A line that was read: its number, the keys to repeat in the answer, and the question to answer."""

    number: int
    known: Object
    item: Any


class _NotJson(NamedTuple):
    """Stands in for NaN or Infinity until the field that holds it is known."""

    text: str


def serve(source: str, answer: AnswerOne, out: Out, read_number: Callable[[str], Any] = float) -> int:
    """Answer every line of a file, or of standard input for "-", on `out`. Returns the exit status.

    answer: returns the object for one line or raises a Showable, which becomes {"error", "line"}.
    read_number: parses a literal with a point or exponent (Decimal where limits are exact).
    A number too large for a double arrives as math.inf, so that `answer` can name its field.
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
    """`serve` for answers that are faster in batches. The output is the same, byte for byte.

    read: turns a line into a question or raises a Showable. answer_many: answers up to `at_once` questions, in order.
    Only lines that have already arrived are batched, so none waits for the next.
    """
    return pour(_replies(source, partial(_taken, read, float), answer_many, at_once), out)


def _each(answer: AnswerOne, found: list[Object]) -> list[Object]:
    return [answer(line) for line in found]


def pour(replies: Iterable[Reply], out: Out) -> int:
    """Write each reply as soon as it is known. Returns 0, 1 if any failed, or 130 if interrupted."""
    status = 0
    try:
        for reply in replies:
            out.write(reply.text + "\n")
            out.flush()
            status = max(status, int(reply.failed))
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _discard_output(out)
        return 1
    except OSError as error:
        _discard_output(out)
        sys.stderr.write(f"The answers cannot be written: {error.strerror}.\n")
        return 1
    return status


def failure(sentence: str, line: int, known: dict[str, Any]) -> Reply:
    """The reply for a line that cannot be used. `known` is what could be read of it."""
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
            for arrived in arrived_lines(stream):
                while arrived:
                    taken = [take(line) for line in arrived[:at_once]]
                    number = arrived[len(taken) - 1][0]
                    del arrived[:at_once]
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
    """The reply to each line, in order."""
    answers = iter(_together([line for line in taken if isinstance(line, _Taken)], answer_many))
    return (line if isinstance(line, Reply) else next(answers) for line in taken)


def _together(taken: list[_Taken], answer_many: Callable[[list[Any]], list[Object]]) -> list[Reply]:
    """Lines answered as a batch. If the batch fails, each line is answered alone, so that only the faulty one fails."""
    try:
        answers = answer_many([line.item for line in taken]) if taken else []
    except Exception as error:  # noqa: BLE001  as above
        if len(taken) > 1:
            return [reply for line in taken for reply in _together([line], answer_many)]
        return [_failed(error, line.number, line.known) for line in taken]
    return [_reply_to(line, answer) for line, answer in zip(taken, answers, strict=True)]


def _reply_to(line: _Taken, answer: Object) -> Reply:
    try:
        return Reply(_encode(line.known | answer), failed=False)
    except Exception as error:  # noqa: BLE001  as above
        return _failed(error, line.number, line.known)


_encode = json.JSONEncoder(allow_nan=False).encode


def _failed(error: Exception, number: int, known: Object) -> Reply:
    if isinstance(error, Showable):
        return failure(error.sentence, number, known)
    if isinstance(error, UnicodeDecodeError):
        found = f"byte 0x{error.object[error.start]:02x} at byte {error.start + 1}"
        sentence = f"the line is not UTF-8 ({found}); allowed is one JSON object in UTF-8."
        return failure(sentence, number, _case_despite(error.object))
    if isinstance(error, RecursionError):
        return failure("the line nests too deeply to be read; allowed are a few levels of brackets.", number, known)
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
    """The case of a line that is not UTF-8, if it can still be read."""
    with suppress(Showable, RecursionError):
        known = _case_of(_parsed(raw.decode("utf-8", "replace").encode(), float))
        if "\ufffd" not in known.get("case", ""):
            return known
    return {}


def _refuse_what_is_not_json(line: dict[str, Any]) -> None:
    """Raise BadInput naming the field that holds NaN or Infinity."""
    open_places: list[tuple[str, Any]] = list(line.items())
    while open_places:
        where, value = open_places.pop()
        if isinstance(value, _NotJson):
            raise BadInput(where, value.text, "what JSON knows: a finite number, a string, true, false, null")
        if isinstance(value, dict):
            open_places += [(f"{where}.{key}", inner) for key, inner in value.items()]
        elif isinstance(value, list):
            open_places += [(f"{where}[{index}]", inner) for index, inner in enumerate(value)]


def _discard_output(out: Out) -> None:
    """The reader has gone: send whatever Python flushes at exit to the null device, so that it raises no error."""
    with suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), out.fileno())
