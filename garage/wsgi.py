"""What the web server loads."""

import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garage.settings")
application = get_wsgi_application()
_ = get_resolver().url_patterns  # loads every page before the server's processes part, not each at its first request
