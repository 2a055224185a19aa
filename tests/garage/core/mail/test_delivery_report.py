"""Reports as mail servers send them back; the examples are made up after the form of RFC 3464, appendix E."""

from contextlib import suppress

import pytest

from garage.core.errors import BadInput
from garage.core.mail.delivery_report import MOST, Undelivered, read_report

WHOLE = """\
Return-Path: <>
From: Mail Delivery Subsystem <mailer-daemon@mail.example.net>
To: garage@example.com
Subject: Returned mail
MIME-Version: 1.0
Content-Type: multipart/report; report-type=delivery-status; boundary="AAA"

--AAA
Content-Type: text/plain; charset=utf-8

The mail could not be delivered. Action: failed

--AAA
Content-Type: message/delivery-status

Reporting-MTA: dns; mail.example.net
Arrival-Date: Mon, 30 Nov 2026 10:00:00 +0000

Original-Recipient: rfc822;pat@example.org
Final-Recipient: rfc822; pat.moved@example.net
Action: failed
Status: 5.1.1
Diagnostic-Code: smtp; 550 5.1.1 <pat.moved@example.net>:
 no such mailbox

Final-Recipient: RFC822; robin@example.org
Action: delayed
Status: 4.4.1

--AAA
Content-Type: text/rfc822-headers

Message-ID: <tickover.41.20261130095901@quarry.example.com>
Subject: Set-up booked

--AAA--
"""
PART = "Final-Recipient: rfc822;pat@example.org\nAction: Failed\nStatus: 5.2.2 (mailbox full)\n"


def test_a_whole_report_names_our_mail_and_the_address_it_was_written_to():
    report = read_report(WHOLE)
    assert report.message_number == 41
    assert report.undelivered == (
        Undelivered("pat@example.org", "5.1.1", "550 5.1.1 <pat.moved@example.net>: no such mailbox"),
    )
    assert report.undelivered[0].sentence == (
        "A report says that it did not arrive (5.1.1): 550 5.1.1 <pat.moved@example.net>: no such mailbox"
    )


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_line_ends_and_blank_lines_before_it_do_not_matter(ends):
    assert read_report("\n\n" + WHOLE.replace("\n", ends)).undelivered == read_report(WHOLE).undelivered


def test_the_part_alone_is_enough():
    report = read_report("Reporting-MTA: dns; mail.example.net\n\n" + PART)
    assert (report.message_number, report.undelivered) == (None, (Undelivered("pat@example.org", "5.2.2", ""),))
    assert report.undelivered[0].sentence == "A report says that it did not arrive (5.2.2)"


@pytest.mark.parametrize("action", ["delayed", "delivered", "relayed", "expanded"])
def test_what_was_not_lost_is_no_undelivered_mail(action):
    assert read_report(PART.replace("Failed", action)).undelivered == ()


@pytest.mark.parametrize("source", ["", "Dear all,\n\nplease see below.\n", "Subject: hello\n\nAction: failed\n", "\0"])
def test_anything_else_is_refused_with_one_sentence(source):
    with pytest.raises(BadInput, match="The report is none that says whom it was not delivered to; allowed is the"):
        read_report(source)


def test_a_report_of_a_book_is_refused():
    with pytest.raises(BadInput, match="characters long"):
        read_report("x" * (MOST + 1))


@pytest.mark.parametrize("cut", range(0, len(WHOLE), 37))
def test_a_report_cut_off_anywhere_is_read_or_refused_and_never_breaks(cut):
    with suppress(BadInput):
        assert len(read_report(WHOLE[:cut]).undelivered) <= 1


def test_half_characters_and_letters_beyond_ascii_are_read_as_they_are():
    assert read_report(PART.replace("pat", "zoé")).undelivered[0].address == "zoé@example.org"
    assert read_report(PART.replace("pat", "p\udcffat")).undelivered[0].address == "p?at@example.org"


def test_thousands_of_mails_within_mails_are_refused():
    nested = "".join(f'Content-Type: multipart/mixed; boundary="b{n}"\n\n--b{n}\n' for n in range(3000))
    with pytest.raises(BadInput, match="a mail with too many mails in it"):
        read_report(nested)
