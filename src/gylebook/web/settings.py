"""Django's settings, read from the environment; a bad value is answered with one sentence naming the variable.

GYLEBOOK_HOME            the data folder (default: the user's data folder of this computer)
GYLEBOOK_HOST            the address to listen on (default 127.0.0.1: this computer only)
GYLEBOOK_PORT            the port to listen on (default 8484)
GYLEBOOK_ALLOWED_HOSTS   further names under which the book may be reached, split by commas
GYLEBOOK_URL             the address under which phones reach the book, for the codes on paper
GYLEBOOK_TIME_ZONE       such as Europe/London (default: this computer's)
GYLEBOOK_HTTPS           1 when the pages travel by HTTPS only: cookies are then never sent in the clear
GYLEBOOK_PROXY           addresses of a proxy in front of the book, whose word on who asks is taken
GYLEBOOK_SIGN_IN         1 asks for the password even on this computer, as behind a proxy
GYLEBOOK_OWN_AUTHORITY   set by the server itself where the certificate is one of its own authority
GYLEBOOK_DEBUG           1 shows the inner workings of a fault; never on a shared book
"""

from __future__ import annotations

import os
from pathlib import Path

from csp.constants import NONE, SELF
from django.utils.functional import SimpleLazyObject

from gylebook.store.databases import databases
from gylebook.web import environment

WEB = Path(__file__).resolve().parent

HOME = environment.home(os.environ)
HOST = environment.host(os.environ)
PORT = environment.port(os.environ)
DEBUG = environment.switch(os.environ, "GYLEBOOK_DEBUG")
HTTPS = environment.switch(os.environ, "GYLEBOOK_HTTPS")
PROXIES = environment.proxies(os.environ)
SIGN_IN_REQUIRED = environment.sign_in_required(os.environ)
URL = environment.address(os.environ)
ALLOWED_HOSTS = environment.allowed_hosts(os.environ)

# Read or made at first use, so that asking for help writes nothing to the disk.
SECRET_KEY = SimpleLazyObject(lambda: environment.secret_key(HOME))

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "csp",
    "gylebook.store",
]

MIDDLEWARE = [
    "gylebook.web.proxy.TrustedProxy",
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    # The only secret on a page is the forms' mark, which Django masks anew each time; the middleware pads besides.
    "django.middleware.gzip.GZipMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "gylebook.web.middleware.PrivatePages",
    "gylebook.web.middleware.DemoMount",
    "gylebook.web.language.Speaks",
    "gylebook.web.middleware.BodyLimit",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "gylebook.web.account.admission.KnownDevice",
    "gylebook.web.middleware.SignInRequired",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "gylebook.web.middleware.BookFaults",
]

ROOT_URLCONF = "gylebook.web.urls"
WSGI_APPLICATION = "gylebook.web.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [WEB / "templates"],
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "gylebook.web.page.book_context",
            ],
            "builtins": ["gylebook.web.templatetags.book", "django.templatetags.i18n"],
        },
    }
]

DATABASES = databases(HOME, os.environ)
DATABASE_ROUTERS = ["gylebook.store.databases.BookRouter"]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

LANGUAGE_CODE = "en-gb"
LANGUAGES = [("en-gb", "English (UK)"), ("en-us", "English (US)"), ("de", "Deutsch")]
LOCALE_PATHS = [WEB.parent / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = environment.time_zone(os.environ)

# Served straight from the package: nothing to collect. Each address carries the file's hash (see templatetags/book.py),
# so a browser may keep a file for a year.
STATIC_URL = "/static/"
STATIC_ROOT = WEB / "static"
WHITENOISE_MAX_AGE = 365 * 24 * 3600
WHITENOISE_ADD_HEADERS_FUNCTION = environment.ask_again_for_modules
WHITENOISE_ALLOW_ALL_ORIGINS = False

LOGIN_URL = "account:sign_in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "account:sign_in"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "object-src": [NONE],
        "base-uri": [NONE],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
# Never for the household's own authority: the promise holds for every port of a name, so it would shut the plain page
# that tells a new phone how to trust the book, and leave no way past a certificate that is not trusted yet.
OWN_AUTHORITY = environment.switch(os.environ, "GYLEBOOK_OWN_AUTHORITY")
SECURE_HSTS_SECONDS = 30 * 24 * 3600 if HTTPS and not OWN_AUTHORITY else 0

SESSION_COOKIE_NAME = "gylebook_session"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = HTTPS
SESSION_COOKIE_AGE = 30 * 24 * 3600
CSRF_COOKIE_NAME = "gylebook_csrf"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SECURE = HTTPS
CSRF_FAILURE_VIEW = "gylebook.web.faults.csrf_refused"

BODY_LIMIT_BYTES = 10 * 1024 * 1024
API_BODY_BYTES = 1024 * 1024
API_PER_MINUTE = 120  # requests of one token or one sign-in
DATA_UPLOAD_MAX_MEMORY_SIZE = BODY_LIMIT_BYTES
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
DATA_UPLOAD_MAX_NUMBER_FILES = 4
FILE_UPLOAD_MAX_MEMORY_SIZE = BODY_LIMIT_BYTES

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    # A stranger's name for this computer is answered with a page; a stack of calls for each would fill the log.
    "loggers": {"django.security.DisallowedHost": {"handlers": [], "propagate": False}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
}
