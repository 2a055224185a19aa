"""Words that a stranger types and that go out in our mails lead nowhere: no web address, no mail address.

Anybody can book with somebody else's mail address. Mail programs turn what looks like an address into a link, so the
words would advertise whatever they say in the garage's name.
"""

from __future__ import annotations

import re
import unicodedata

from garage.core.text.languages import told_later

SAY_IT_PLAINLY = told_later("Leave out web and mail addresses. If it is none, put a space after the full stop.")
_OTHER_DOTS = str.maketrans({"\u3002": ".", "\uff61": "."})  # full stops that browsers take as a dot (UTS 46)
_ADDRESS = re.compile(
    r"@"  # no name has one
    r"|[^\W\d_]:/"  # http:/ and any other scheme
    r"|\bwww\b\.?"
    r"|[\w-]{2,}\.[^\W\d_]{2,}"  # example.com: R.Ashworth and 12.5cc are none
    r"|\w\.[^\W\d_]{2,}/",  # t.co/x
    re.IGNORECASE,
)


def leads_somewhere(text: str) -> bool:
    """Whether a mail program could make a link of some of it. Compatibility forms and unseen characters are no way out.

    >>> leads_somewhere("See example.com/prize"), leads_somewhere("Corrick 185, St. John’s, 12.5 mm")
    (True, False)
    """
    seen = "".join(c for c in unicodedata.normalize("NFKC", text) if unicodedata.category(c) != "Cf")
    return _ADDRESS.search(seen.translate(_OTHER_DOTS)) is not None
