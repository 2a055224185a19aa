"""The entry point of the web server."""

import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garage.settings")
application = get_wsgi_application()
_ = get_resolver().url_patterns  # loads every page before the server forks, not in each process at its first request
