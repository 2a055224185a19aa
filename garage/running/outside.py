"""Whether a garage's address leads in from outside, or no further than its own house. No Django here."""

from __future__ import annotations

import ipaddress

# Set aside for networks of one's own: RFC 6761 (localhost, test, invalid), RFC 6762 (local), RFC 8375 (home.arpa), and
# ICANN's reservation of internal in 2024. The others are what routers of homes call theirs.
OF_ONES_OWN = ("localhost", "test", "invalid", "local", "home.arpa", "internal", "lan", "home", "fritz.box")


def is_from_outside(host: str | None) -> bool:
    """host: of SITE_URL, which owners' mails lead to: a garage that is reached from outside must have it right.

    >>> [is_from_outside(host) for host in ("garage.example.org", "127.0.0.1", "192.168.1.20", "box", "shop.local")]
    [True, False, False, False, False]
    """
    name = (host or "").rstrip(".").casefold()
    try:
        return ipaddress.ip_address(name).is_global
    except ValueError:
        return "." in name and not any(f".{name}".endswith(f".{own}") for own in OF_ONES_OWN)
