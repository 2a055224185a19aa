"""A document in the syntax of OASIS: UBL 2.1 (ISO/IEC 19845), Invoice or CreditNote, as EN 16931-3-2 maps it."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from jobs.core.billing.invoice import OUTSIDE
from jobs.core.documents.cii import GUIDELINE, payment_code
from jobs.core.documents.document import UNIT_CODES, Account, Document, DocumentLine, Party, VatGroup, checked
from jobs.core.documents.markup import document_bytes, element, money, plain

_SCHEMA = "urn:oasis:names:specification:ubl:schema:xsd"
COMPONENTS = {"cac": f"{_SCHEMA}:CommonAggregateComponents-2", "cbc": f"{_SCHEMA}:CommonBasicComponents-2"}


def ubl(document: Document) -> bytes:
    """Raises BadInput where its sums do not agree."""
    document = checked(document)
    name = "CreditNote" if document.corrects else "Invoice"
    root = element(
        name,
        *_head(document, name),
        element("cac:AccountingSupplierParty", _party(document.seller)),
        element("cac:AccountingCustomerParty", _party(document.buyer)),
        element("cac:Delivery", element("cbc:ActualDeliveryDate", document.supplied_on.isoformat())),
        _means(document, document.account) if document.account else None,
        element("cac:PaymentTerms", element("cbc:Note", document.terms)) if document.terms else None,
        _taxes(document),
        element(
            "cac:LegalMonetaryTotal",
            _amount("cbc:LineExtensionAmount", document, money(document.net)),
            _amount("cbc:TaxExclusiveAmount", document, money(document.net)),
            _amount("cbc:TaxInclusiveAmount", document, money(document.gross)),
            _amount("cbc:PrepaidAmount", document, money(document.prepaid)) if document.prepaid else None,
            _amount("cbc:PayableAmount", document, money(document.payable)),
        ),
        *(_line(document, line) for line in document.lines),
    )
    return document_bytes(root, {"": f"{_SCHEMA}:{name}-2"} | COMPONENTS)


def _head(document: Document, name: str) -> Iterator[Element]:
    yield element("cbc:CustomizationID", GUIDELINE)
    yield element("cbc:ID", str(document.number))
    yield element("cbc:IssueDate", document.issued_on.isoformat())
    if document.due_on and not document.corrects:  # the schema of a credit note has none
        yield element("cbc:DueDate", document.due_on.isoformat())
    yield element(f"cbc:{name}TypeCode", document.type_code)
    yield from (element("cbc:Note", note) for note in document.notes)
    yield element("cbc:DocumentCurrencyCode", document.currency)
    if corrected := document.corrects:
        day = element("cbc:IssueDate", corrected.issued_on.isoformat())
        reference = element("cac:InvoiceDocumentReference", element("cbc:ID", str(corrected.number)), day)
        yield element("cac:BillingReference", reference)


def _party(party: Party) -> Element:
    first, second, rest = party.lines[:1], party.lines[1:2], ", ".join(party.lines[2:])
    return element(
        "cac:Party",
        element("cbc:EndpointID", party.email, schemeID="EM") if party.email else None,
        element("cac:PartyIdentification", element("cbc:ID", party.identifier)) if party.identifier else None,
        element(
            "cac:PostalAddress",
            *(element("cbc:StreetName", words) for words in first),
            *(element("cbc:AdditionalStreetName", words) for words in second),
            element("cac:AddressLine", element("cbc:Line", rest)) if rest else None,
            element("cac:Country", element("cbc:IdentificationCode", party.country)),
        ),
        element("cac:PartyTaxScheme", element("cbc:CompanyID", party.vat_number), _vat()) if party.vat_number else None,
        element("cac:PartyLegalEntity", element("cbc:RegistrationName", party.name)),
    )


def _means(document: Document, account: Account) -> Element:
    branch = element("cac:FinancialInstitutionBranch", element("cbc:ID", account.bic)) if account.bic else None
    return element(
        "cac:PaymentMeans",
        element("cbc:PaymentMeansCode", payment_code(document)),
        element("cbc:PaymentID", str(document.number)),
        element(
            "cac:PayeeFinancialAccount",
            element("cbc:ID", account.number),
            element("cbc:Name", account.holder),
            branch,
        ),
    )


def _taxes(document: Document) -> Element:
    return element(
        "cac:TaxTotal",
        _amount("cbc:TaxAmount", document, money(document.vat)),
        *(
            element(
                "cac:TaxSubtotal",
                _amount("cbc:TaxableAmount", document, money(group.net)),
                _amount("cbc:TaxAmount", document, money(group.vat)),
                _category("cac:TaxCategory", group, document.reason_of(group)),
            )
            for group in document.vat_groups
        ),
    )


def _line(document: Document, line: DocumentLine) -> Element:
    kind, unit = ("Credited", "CreditNoteLine") if document.corrects else ("Invoiced", "InvoiceLine")
    code = UNIT_CODES.get(line.unit, "C62")
    return element(
        f"cac:{unit}",
        element("cbc:ID", str(line.index)),
        element(f"cbc:{kind}Quantity", plain(line.signed_quantity), unitCode=code),
        _amount("cbc:LineExtensionAmount", document, money(line.net)),
        element("cac:Item", element("cbc:Name", line.words), _category("cac:ClassifiedTaxCategory", line)),
        element("cac:Price", _amount("cbc:PriceAmount", document, f"{line.net_each:f}")),
    )


def _category(name: str, of: VatGroup | DocumentLine, reason: str = "") -> Element:
    """What is outside the scope of VAT has no rate (BR-O-05)."""
    return element(
        name,
        element("cbc:ID", of.category),
        None if of.category == OUTSIDE else element("cbc:Percent", plain(of.percent)),
        element("cbc:TaxExemptionReason", reason) if reason else None,
        _vat(),
    )


def _vat() -> Element:
    return element("cac:TaxScheme", element("cbc:ID", "VAT"))


def _amount(name: str, document: Document, amount: str) -> Element:
    return element(name, amount, currencyID=document.currency)
