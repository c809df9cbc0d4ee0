"""The WSGI application, for the book's own server and for any other."""

from __future__ import annotations

import os
from importlib import import_module

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from gylebook.steps.catalogue import steps

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "gylebook.web.settings")
application = get_wsgi_application()

# Pages and steps are read in while the server starts: whoever comes first then waits no longer than the next.
import_module(settings.ROOT_URLCONF)
steps()
