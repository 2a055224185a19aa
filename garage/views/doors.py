"""Who may open a page: anybody of the workshop, those who handle money, the boss."""

from collections.abc import Callable
from functools import wraps

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from garage.models.people import Person

View = Callable[..., HttpResponse]


def workshop(view: View) -> View:
    """Anybody who is logged in."""
    return login_required(view)


def _only(*roles: str) -> Callable[[View], View]:
    def door(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
            if request.user.role not in roles:
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return login_required(guarded)

    return door


boss = _only(Person.BOSS)
money = _only(Person.BOSS, Person.FRONT_DESK)
