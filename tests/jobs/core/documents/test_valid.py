"""Our invoices in both syntaxes before the official schemas and the business rules of EN 16931."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from garage.core.errors import BadInput
from jobs.core.documents.cii import cii
from jobs.core.documents.document import Account, Corrected, Document, DocumentLine, Party, checked
from jobs.core.documents.ubl import ubl
from tests.official_rules import CII, UBL, UBL_CREDIT_NOTE, broken_rules

D = Decimal
SELLER = Party("Quarry Lane", ("Quarry Lane", "Ambleford"), "GB", vat_number="GB980780684", email="a@example.com")
NOT_REGISTERED = replace(SELLER, vat_number="", identifier="a@example.com")
OWNER = Party("Erin Dale", ("Mill House", "Mill Lane", "Overwater", "CA99 9ZZ"), "GB", email="erin@example.org")
IBAN = Account("GB29NWBK60161331926819", is_iban=True, holder="Quarry Lane", bic="NWBKGB2L")


def line(net, vat, quantity="1", words="Work", category="S", percent="20", index=1, unit=""):
    return DocumentLine(index, words, D(quantity), unit, D(net), D(vat), category, D(percent))


def document(*lines, **given):
    lines = tuple(replace(each, index=index) for index, each in enumerate(lines or [line("100.00", "20.00")], start=1))
    net, vat = sum(each.net for each in lines), sum(each.vat for each in lines)
    day = date(2026, 3, 10)
    values = {"net": net, "vat": vat, "gross": net + vat, "seller": SELLER, "buyer": OWNER, "terms": "Cash or card"}
    return Document(
        **{"number": 7, "issued_on": day, "supplied_on": day, "currency": "GBP", "lines": lines} | values | given
    )


# As the book shares them out: 0.8 h at 54.00 is 43.20; three at 3.33 with VAT; a discount of 5.00; a book at 0 %.
MIXED = (
    line("36.00", "7.20", "0.8", unit="h"),
    line("8.32", "1.67", "3"),
    line("-4.17", "-0.83"),
    line("30.00", "0.00", "3", "Book", "Z", "0"),
    line("9.52", "0.48", "1", "Heating oil", "S", "5"),
)
VALID = {
    "one line": document(),
    "several rates, a discount, parts of hours": document(*MIXED),
    "a deposit and a bank account": document(prepaid=D("30.00"), account=IBAN, due_on=date(2026, 3, 24), terms=""),
    "a sort code": document(account=Account("60161331926819", is_iban=False, holder="Quarry Lane")),
    "euros": document(currency="EUR", account=replace(IBAN, number="DE33100205000001194700", bic="")),
    "more deposit than work": document(prepaid=D("150.00"), terms=""),
    "exempt": document(line("45.00", "0.00", "1", "Course", "E", "0"), exemption_words="Education, exempt from VAT"),
    "not registered": document(
        line("45.00", "0.00", category="O", percent="0"),
        seller=NOT_REGISTERED,
        exemption_words="Not registered for VAT",
    ),
    "nothing to pay": document(line("36.00", "7.20"), line("-36.00", "-7.20")),
    "no address and odd signs": document(
        line("1.00", "0.20", words="Jet <98> & \x0b“seat”\x00"), buyer=Party("É & Co", (), "GB")
    ),
    "notes": document(notes=("Machine: Corrick 185", "Chain: 0a1b")),
    "a full VAT penny": document(line("83.32", "16.67")),
}


@pytest.mark.parametrize("name", VALID)
def test_an_invoice_is_valid_in_both_syntaxes(name):
    assert broken_rules(cii(VALID[name]), CII) == []
    assert broken_rules(ubl(VALID[name]), UBL) == []


@pytest.mark.parametrize("name", ["one line", "several rates, a discount, parts of hours", "not registered", "euros"])
def test_the_same_as_a_credit_note_is_valid_in_both_syntaxes(name):
    note = replace(VALID[name], corrects=Corrected(3, date(2026, 3, 1)), due_on=None)
    assert broken_rules(cii(note), CII) == []
    assert broken_rules(ubl(note), UBL_CREDIT_NOTE) == []


PENNY_MORE = {  # in what is written, and which rules the official artefacts name then
    "LineTotalAmount>100.00</ram:LineTotalAmount><ram:TaxB": (CII, {"BR-CO-10", "BR-CO-13"}),
    "GrandTotalAmount>120.00": (CII, {"BR-CO-15", "BR-CO-16"}),
    "CalculatedAmount>20.00": (CII, {"BR-CO-14"}),
    "DuePayableAmount>120.00": (CII, {"BR-CO-16"}),
    'LegalMonetaryTotal><cbc:LineExtensionAmount currencyID="GBP">100.00': (UBL, {"BR-CO-10", "BR-CO-13"}),
    'TaxInclusiveAmount currencyID="GBP">120.00': (UBL, {"BR-CO-15", "BR-CO-16"}),
    'PayableAmount currencyID="GBP">120.00': (UBL, {"BR-CO-16"}),
}


@pytest.mark.parametrize("written", PENNY_MORE)
def test_the_official_rules_find_a_penny_so_that_their_silence_means_something(written):
    kind, expected = PENNY_MORE[written]
    content = (cii if kind == CII else ubl)(document()).decode()
    assert content.count(written) == 1
    changed = content.replace(written, written.replace("0.00", "0.01"))
    assert expected <= set(broken_rules(changed.encode(), kind))


def test_what_the_schema_does_not_know_is_refused_by_it():
    assert "DueDate" in broken_rules(ubl(document()).replace(b"cbc:IssueDate", b"cbc:DueDate"), UBL)[0]


WRONG = {
    "BR-CO-10": {"net": D("100.01"), "gross": D("120.01")},
    "BR-CO-14": {"vat": D("20.01"), "gross": D("120.01")},
    "BR-CO-15": {"gross": D("120.01")},
    "BR-CO-17": {"lines": (line("100.00", "20.02"),), "vat": D("20.02"), "gross": D("120.02")},
    "CO-10": {"lines": (), "vat": D(0), "net": D(0), "gross": D(0)},
}


@pytest.mark.parametrize("rule", WRONG)
def test_sums_that_are_a_penny_wrong_are_never_written(rule):
    """The official rules let 20.94 pass for a VAT of 20.00; ours stop at 20.02."""
    for write in (cii, ubl):
        with pytest.raises(BadInput, match=rule):
            write(replace(document(), **WRONG[rule]))


def test_vat_from_a_price_with_vat_may_differ_by_the_one_penny_that_no_rounding_avoids():
    """99.99 at 20 %: 83.33 + 16.67 is a penny more, 83.32 + 16.66 one less."""
    assert checked(document(line("83.32", "16.67"))).gross == D("99.99")


@pytest.mark.parametrize(
    ("quantity", "net"), [("3", "8.32"), ("999999", "0.01"), ("0.01", "12.34"), ("7", "-2.80"), ("999999", "833332.49")]
)
def test_a_net_price_times_its_quantity_gives_the_line_again_to_the_penny(quantity, net):
    each = line(net, "0.00", quantity, category="Z", percent="0")
    assert each.net_each >= 0
    assert checked(document(each)).net == D(net)


def test_the_same_document_gives_the_same_bytes():
    assert cii(document(*MIXED)) == cii(document(*MIXED))
    assert ubl(document(*MIXED)) == ubl(document(*MIXED))
