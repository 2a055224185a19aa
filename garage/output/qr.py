"""A QR picture as SVG that can stand in a page: it has neither styles nor scripts, so a strict policy lets it be."""

import segno
from django.utils.safestring import SafeString, mark_safe

BORDER = 4  # modules of quiet around it, as ISO/IEC 18004 asks for


def qr_svg(text: str) -> SafeString:
    """Nothing of the text gets into the markup: it is lines alone. Its size is the style sheet's."""
    return drawn(segno.make(text, error="m", micro=False))


def drawn(code: segno.QRCode) -> SafeString:
    """The same of a code that is made already."""
    svg = code.svg_inline(border=BORDER, svgclass="code", lineclass=None, light="#fff", omitsize=True)
    return mark_safe(svg)  # noqa: S308
