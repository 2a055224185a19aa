"""Codes by time against RFC 6238's own, and what is typed beside them."""

import base64
from urllib.parse import parse_qs, urlsplit

import pyotp
import pytest

from garage.core.letting_in import one_time_codes
from garage.core.letting_in.one_time_codes import Spare, spare_of, step_of

SECRET = base64.b32encode(b"12345678901234567890").decode()
RFC_6238_APPENDIX_B = {  # SHA-1, eight digits, of that secret; ours are the last six (RFC 4226, 5.3: modulo 10^digits)
    59: "94287082",
    1111111109: "07081804",
    1111111111: "14050471",
    1234567890: "89005924",
    2000000000: "69279037",
    20000000000: "65353130",
}


@pytest.mark.parametrize(("at_s", "code"), RFC_6238_APPENDIX_B.items())
def test_a_code_of_rfc_6238_appendix_b_is_of_its_own_step(at_s, code):
    assert step_of(code[-6:], SECRET, at_s=at_s, after=-1) == at_s // 30


@pytest.mark.parametrize(("at_s", "code"), RFC_6238_APPENDIX_B.items())
def test_the_library_gives_all_eight_digits_of_rfc_6238_appendix_b(at_s, code):
    assert pyotp.TOTP(SECRET, digits=8).generate_otp(at_s // 30) == code


@pytest.mark.parametrize(("off_s", "counts"), [(-31, False), (-30, True), (0, True), (59, True), (60, False)])
def test_a_code_counts_one_step_aside_and_no_further(off_s, counts):
    """287082 is the code of the step from 30 to 59 s."""
    assert (step_of("287082", SECRET, at_s=30 + off_s, after=-1) == 1) is counts


@pytest.mark.parametrize("after", [1, 2, 99])
def test_a_code_that_was_taken_or_is_older_than_one_counts_no_more(after):
    assert step_of("287082", SECRET, at_s=59, after=after) is None
    assert step_of("287082", SECRET, at_s=59, after=0) == 1


@pytest.mark.parametrize("typed", ["287 082", " 287-082\n", "287082"])
def test_spaces_and_dashes_do_not_matter(typed):
    assert step_of(typed, SECRET, at_s=59, after=-1) == 1


@pytest.mark.parametrize("typed", ["", "28708", "2870820", "٢٨٧٠٨٢", "287082x", "9" * 4400, "-287082.0"])
def test_what_is_no_code_is_none(typed):
    assert step_of(typed, SECRET, at_s=59, after=-1) is None


def test_before_1970_there_is_none():
    assert step_of("287082", SECRET, at_s=-400.0, after=-9) is None


def test_a_secret_hangs_on_both_seed_and_key():
    made = {one_time_codes.secret_of(seed, key) for seed in ("a", "b") for key in ("k", "l")}
    assert len(made) == 4
    assert {len(base64.b32decode(secret)) for secret in made} == {one_time_codes.SECRET_BYTES}


def test_an_app_is_told_whose_code_it_is():
    told = urlsplit(one_time_codes.app_address(SECRET, whose="jo: 1", issuer="Quarry Lane & Sons: Tuning"))
    assert (told.scheme, told.netloc) == ("otpauth", "totp")
    assert told.path == "/Quarry%20Lane%20%26%20Sons%20%20Tuning:jo%20%201"
    assert parse_qs(told.query) == {"secret": [SECRET], "issuer": ["Quarry Lane & Sons  Tuning"]}


def test_spare_codes_are_numbered_and_read_as_they_are_printed():
    digits = iter("0123456789" * 10)
    spares = one_time_codes.new_spares(lambda _: next(digits))
    assert [spare.number for spare in spares] == list(range(1, 9))
    assert len({spare.digits for spare in spares}) == 5  # of the counting up
    assert [spare_of(one_time_codes.spare_in_words(spare)) for spare in spares] == spares


@pytest.mark.parametrize("typed", ["", "287082", "3 4821 9075 116", "3 4821 9075 11633", "٣482190751163", "x" * 13])
def test_what_is_no_spare_code_is_none(typed):
    assert spare_of(typed) is None
    assert spare_of("3 4821-9075 1163") == Spare(3, "482190751163")
