"""What tells a reader of an invoice's PDF that there is an invoice for programs in it (Factur-X 1.0, annex on XMP)."""

from jobs.core.documents.cii import FILE_NAME

NAMESPACE = "urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#"
PROPERTIES = {  # name: value, and what PDF/A wants to be told of a property that it does not know
    "DocumentType": ("INVOICE", "INVOICE, also of a credit note"),
    "DocumentFileName": (FILE_NAME, "name of the XML file inside"),
    "Version": ("1.0", "version of the XML"),
    "ConformanceLevel": ("EN 16931", "profile of the XML"),
}
_PROPERTY = """<rdf:li rdf:parseType="Resource"><pdfaProperty:name>{name}</pdfaProperty:name>\
<pdfaProperty:valueType>Text</pdfaProperty:valueType><pdfaProperty:category>external</pdfaProperty:category>\
<pdfaProperty:description>{words}</pdfaProperty:description></rdf:li>"""
_METADATA = """<rdf:Description rdf:about="" xmlns:fx="{namespace}">{values}</rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/" \
xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">\
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">\
<pdfaSchema:schema>Factur-X PDFA Extension Schema</pdfaSchema:schema>\
<pdfaSchema:namespaceURI>{namespace}</pdfaSchema:namespaceURI><pdfaSchema:prefix>fx</pdfaSchema:prefix>\
<pdfaSchema:property><rdf:Seq>{properties}</rdf:Seq></pdfaSchema:property>\
</rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>
"""
METADATA = _METADATA.format(
    namespace=NAMESPACE,
    values="".join(f"<fx:{name}>{value}</fx:{name}>" for name, (value, _) in PROPERTIES.items()),
    properties="".join(_PROPERTY.format(name=name, words=words) for name, (_, words) in PROPERTIES.items()),
)
