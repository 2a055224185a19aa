"""Which network a request comes from: what limits are counted by."""

from __future__ import annotations

from ipaddress import IPv6Address, ip_address, ip_network

ONE_LINE_BITS = 64  # of an IPv6 address; the rest is the computer's own and changes daily (RFC 6177, RFC 8981)


def network_of(address: str) -> str:
    """An IPv4 address as it is, of an IPv6 address the network, since one line has 2^64. What is no address stays as it
    is.

    >>> network_of("192.0.2.7"), network_of("2001:db8:1:2:3:4:5:6"), network_of("::ffff:192.0.2.7")
    ('192.0.2.7', '2001:db8:1:2::/64', '192.0.2.7')
    """
    try:
        found = ip_address(address.strip("[]"))
    except ValueError:
        return address
    if not isinstance(found, IPv6Address):
        return str(found)
    if found.ipv4_mapped:
        return str(found.ipv4_mapped)
    return str(ip_network((int(found), ONE_LINE_BITS), strict=False))
