from decimal import Decimal

import pytest

from garage.core.shop_limits import LIMITS, OutOfRange, check_limits


@pytest.mark.parametrize("name", LIMITS)
def test_each_number_of_the_settings_has_its_ends_and_nothing_beyond(name):
    least, most = LIMITS[name]
    check_limits({name: least})
    check_limits({name: most})
    for beyond in (least - 1, most + 1):
        with pytest.raises(OutOfRange, match=f"{beyond} is not possible here: {least} to {most} is.") as caught:
            check_limits({name: beyond})
        assert caught.value.where == name


def test_pounds_and_per_cent_are_limited_to_the_penny():
    with pytest.raises(OutOfRange):
        check_limits({"vat_percent": Decimal("100.01")})
    check_limits({"vat_percent": Decimal("17.5"), "deposit_frees_after_days": None, "name": "Quarry Lane"})
