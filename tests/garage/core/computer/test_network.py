import pytest

from garage.core.computer.network import network_of


@pytest.mark.parametrize(
    ("address", "network"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("2001:db8:0:1::1", "2001:db8:0:1::/64"),
        ("2001:DB8:0:1:ffff:ffff:ffff:ffff", "2001:db8:0:1::/64"),
        ("[2001:db8:0:1::1]", "2001:db8:0:1::/64"),
        ("2001:db8:0:2::1", "2001:db8:0:2::/64"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("fe80::1%eth0", "fe80::/64"),
        ("", ""),
        ("unix:", "unix:"),
        ("192.0.2.300", "192.0.2.300"),
    ],
)
def test_a_line_is_one_network_however_many_addresses_it_has(address, network):
    assert network_of(address) == network
