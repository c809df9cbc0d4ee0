"""The WSGI application, for the book's own server and for any other."""

from __future__ import annotations

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "gylebook.web.settings")
application = get_wsgi_application()
