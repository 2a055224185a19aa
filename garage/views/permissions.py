"""What a browser may let a page use, by the header Permissions-Policy (a working draft of the W3C)."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper

from django.http import HttpResponseBase

from garage.views.requests import Given

MICROPHONE = "microphone"
# What a browser would ask its user about. Names that few browsers know are left out: the others complain of them.
NEEDED_BY_NO_PAGE = ("camera", "display-capture", "geolocation", "midi", "payment", "usb")


def permissions(*allowed: str) -> str:
    """The header's value: those for the page itself, all others for nobody.

    >>> permissions("microphone").partition(", ")[0]
    'microphone=(self)'
    """
    return ", ".join(f"{name}=({'self' if name in allowed else ''})" for name in (MICROPHONE, *NEEDED_BY_NO_PAGE))


def may_record(view: Callable[Given, HttpResponseBase]) -> Callable[Given, HttpResponseBase]:
    """A page that records with the microphone. Nothing that it shows from elsewhere may."""

    def recording(*args: Given.args, **kwargs: Given.kwargs) -> HttpResponseBase:
        answer = view(*args, **kwargs)
        answer["Permissions-Policy"] = permissions(MICROPHONE)
        return answer

    return update_wrapper(recording, view)
