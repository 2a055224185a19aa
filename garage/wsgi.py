"""The entry point of the web server."""

import os
from collections.abc import Iterable
from typing import Any

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

from garage.views.body_limits import most_body_bytes  # neither knows a model: Django is not set up yet
from garage.views.our_encoding import readable

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garage.settings")
_pages = get_wsgi_application()
_ = get_resolver().url_patterns  # loads every page before the server forks, not in each process at its first request


class Application:
    """most_body_bytes: asked by the web server's worker before it takes a request in."""

    most_body_bytes = staticmethod(most_body_bytes)

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        return _pages(readable(environ), start_response)


application = Application()
