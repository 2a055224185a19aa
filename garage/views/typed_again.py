"""What somebody typed into a form that could not be taken just now, to be sent again with one press."""

from __future__ import annotations

from django.http import HttpRequest

MOST_SENT_AGAIN = 200_000  # characters of a form that are put into the page, to be sent again


def typed_fields(request: HttpRequest) -> list[tuple[str, str]]:
    """The fields of a form without files. Empty if they are not all there: passwords are typed again."""
    if request.content_type != "application/x-www-form-urlencoded":
        return []
    fields = [(name, value) for name, values in request.POST.lists() for value in values if "password" not in name]
    is_whole = len(fields) == sum(len(values) for _, values in request.POST.lists())
    return fields if is_whole and sum(len(value) for _, value in fields) <= MOST_SENT_AGAIN else []
