"""Labels of forms that name the shop's money."""

from django.utils.functional import lazy

from garage.core import currencies

in_units = lazy(currencies.in_units, str)  # a form's class is made before any shop is known
