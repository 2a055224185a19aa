"""A document in the syntax of UN/CEFACT: Cross Industry Invoice, as a PDF carries it inside (EN 16931-3-3, Factur-X).

The order of elements is that of the schema D22B.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from xml.etree.ElementTree import Element

from jobs.core.billing.invoice import OUTSIDE
from jobs.core.documents.document import UNIT_CODES, Account, Document, DocumentLine, Party, VatGroup, checked
from jobs.core.documents.markup import basic_day, document_bytes, element, money, plain

GUIDELINE = "urn:cen.eu:en16931:2017"  # BT-24
FILE_NAME = "factur-x.xml"  # by which readers look for it in a PDF (Factur-X 1.0)
_STANDARD = "urn:un:unece:uncefact:data:standard"
NAMESPACES = {
    "rsm": f"{_STANDARD}:CrossIndustryInvoice:100",
    "ram": f"{_STANDARD}:ReusableAggregateBusinessInformationEntity:100",
    "qdt": f"{_STANDARD}:QualifiedDataType:100",
    "udt": f"{_STANDARD}:UnqualifiedDataType:100",
}
SEPA_TRANSFER, TRANSFER = "58", "30"  # UNTDID 4461


def cii(document: Document) -> bytes:
    """Raises BadInput where its sums do not agree."""
    document = checked(document)
    root = element(
        "rsm:CrossIndustryInvoice",
        element(
            "rsm:ExchangedDocumentContext",
            element("ram:GuidelineSpecifiedDocumentContextParameter", element("ram:ID", GUIDELINE)),
        ),
        _head(document),
        element(
            "rsm:SupplyChainTradeTransaction",
            *(_line(line) for line in document.lines),
            element(
                "ram:ApplicableHeaderTradeAgreement",
                _party("ram:SellerTradeParty", document.seller),
                _party("ram:BuyerTradeParty", document.buyer),
            ),
            element(
                "ram:ApplicableHeaderTradeDelivery",
                element(
                    "ram:ActualDeliverySupplyChainEvent",
                    element("ram:OccurrenceDateTime", _day("udt", document.supplied_on)),
                ),
            ),
            _settlement(document),
        ),
    )
    return document_bytes(root, NAMESPACES)


def payment_code(document: Document) -> str:
    """How an account is paid to: within SEPA it needs euros and an IBAN."""
    account = document.account
    return SEPA_TRANSFER if document.currency == "EUR" and account and account.is_iban else TRANSFER


def _head(document: Document) -> Element:
    return element(
        "rsm:ExchangedDocument",
        element("ram:ID", str(document.number)),
        element("ram:TypeCode", document.type_code),
        element("ram:IssueDateTime", _day("udt", document.issued_on)),
        *(element("ram:IncludedNote", element("ram:Content", note)) for note in document.notes),
    )


def _line(line: DocumentLine) -> Element:
    return element(
        "ram:IncludedSupplyChainTradeLineItem",
        element("ram:AssociatedDocumentLineDocument", element("ram:LineID", str(line.index))),
        element("ram:SpecifiedTradeProduct", element("ram:Name", line.words)),
        element(
            "ram:SpecifiedLineTradeAgreement",
            element("ram:NetPriceProductTradePrice", element("ram:ChargeAmount", f"{line.net_each:f}")),
        ),
        element(
            "ram:SpecifiedLineTradeDelivery",
            element("ram:BilledQuantity", plain(line.signed_quantity), unitCode=UNIT_CODES.get(line.unit, "C62")),
        ),
        element(
            "ram:SpecifiedLineTradeSettlement",
            element(
                "ram:ApplicableTradeTax",
                element("ram:TypeCode", "VAT"),
                element("ram:CategoryCode", line.category),
                _rate(line),
            ),
            element(
                "ram:SpecifiedTradeSettlementLineMonetarySummation", element("ram:LineTotalAmount", money(line.net))
            ),
        ),
    )


def _party(name: str, party: Party) -> Element:
    lines = (*party.lines[:2], ", ".join(party.lines[2:]))
    places = zip(("ram:LineOne", "ram:LineTwo", "ram:LineThree"), lines, strict=False)
    return element(
        name,
        element("ram:ID", party.identifier) if party.identifier else None,
        element("ram:Name", party.name),
        element(
            "ram:PostalTradeAddress",
            *(element(place, words) for place, words in places if words),
            element("ram:CountryID", party.country),
        ),
        element("ram:URIUniversalCommunication", element("ram:URIID", party.email, schemeID="EM"))
        if party.email
        else None,
        element("ram:SpecifiedTaxRegistration", element("ram:ID", party.vat_number, schemeID="VA"))
        if party.vat_number
        else None,
    )


def _settlement(document: Document) -> Element:
    currency = document.currency
    return element(
        "ram:ApplicableHeaderTradeSettlement",
        element("ram:PaymentReference", str(document.number)),
        element("ram:InvoiceCurrencyCode", currency),
        _means(document.account, payment_code(document)) if document.account else None,
        *(_tax(document, group) for group in document.vat_groups),
        _terms(document),
        element(
            "ram:SpecifiedTradeSettlementHeaderMonetarySummation",
            element("ram:LineTotalAmount", money(document.net)),
            element("ram:TaxBasisTotalAmount", money(document.net)),
            element("ram:TaxTotalAmount", money(document.vat), currencyID=currency),
            element("ram:GrandTotalAmount", money(document.gross)),
            element("ram:TotalPrepaidAmount", money(document.prepaid)) if document.prepaid else None,
            element("ram:DuePayableAmount", money(document.payable)),
        ),
        *_corrected(document),
    )


def _means(account: Account, code: str) -> Element:
    return element(
        "ram:SpecifiedTradeSettlementPaymentMeans",
        element("ram:TypeCode", code),
        element(
            "ram:PayeePartyCreditorFinancialAccount",
            element("ram:IBANID", account.number) if account.is_iban else None,
            element("ram:AccountName", account.holder),
            None if account.is_iban else element("ram:ProprietaryID", account.number),
        ),
        element("ram:PayeeSpecifiedCreditorFinancialInstitution", element("ram:BICID", account.bic))
        if account.bic
        else None,
    )


def _tax(document: Document, group: VatGroup) -> Element:
    reason = document.reason_of(group)
    return element(
        "ram:ApplicableTradeTax",
        element("ram:CalculatedAmount", money(group.vat)),
        element("ram:TypeCode", "VAT"),
        element("ram:ExemptionReason", reason) if reason else None,
        element("ram:BasisAmount", money(group.net)),
        element("ram:CategoryCode", group.category),
        _rate(group),
    )


def _rate(of: VatGroup | DocumentLine) -> Element | None:
    """What is outside the scope of VAT has no rate (BR-O-05)."""
    return None if of.category == OUTSIDE else element("ram:RateApplicablePercent", plain(of.percent))


def _terms(document: Document) -> Element | None:
    if not (document.terms or document.due_on):
        return None
    due = document.due_on
    return element(
        "ram:SpecifiedTradePaymentTerms",
        element("ram:Description", document.terms) if document.terms else None,
        element("ram:DueDateDateTime", _day("udt", due)) if due else None,
    )


def _corrected(document: Document) -> Iterator[Element]:
    if corrected := document.corrects:
        yield element(
            "ram:InvoiceReferencedDocument",
            element("ram:IssuerAssignedID", str(corrected.number)),
            element("ram:FormattedIssueDateTime", _day("qdt", corrected.issued_on)),
        )


def _day(prefix: str, day: date) -> Element:
    return element(f"{prefix}:DateTimeString", basic_day(day), format="102")
