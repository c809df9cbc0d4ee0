"""The addresses of the book; each folder of web/ is the first word of its own."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from gylebook.web.account import devices, people
from gylebook.web.brews import dangerous
from gylebook.web.demo import views as demo
from gylebook.web.keys import views as keys
from gylebook.web.look import views as look

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("gylebook.web.today.urls")),
    path("brews/", include("gylebook.web.brews.urls")),
    path("keys/", keys.page, name="keys"),
    path("dangerous-bottles/", dangerous.page, name="dangerous_bottles"),
    path("dangerous-bottles/slip/", dangerous.slip, name="dangerous_slip"),
    path("calendar/", include("gylebook.web.calendar.urls")),
    path("cellar/", include("gylebook.web.cellar.urls")),
    path("settings/", include("gylebook.web.settings_pages.urls")),
    path("stores/", include("gylebook.web.stores.urls")),
    path("reckon/", include("gylebook.web.reckon.urls")),
    path("book/", include("gylebook.web.book.urls")),
    path("pocket/", include("gylebook.web.pocket.urls")),
    path("about/", include("gylebook.web.about.urls")),
    path("law/", include("gylebook.web.law.urls")),
    path("sources/", include("gylebook.web.sources.urls")),
    path("api/", include("gylebook.web.api.urls")),
    path("account/", include("gylebook.web.account.urls")),
    path("pair/<str:code>/", devices.pair, name="pair"),
    path("invited/<str:code>/", people.invited, name="invited"),
    path("look/", look.choose, name="look"),
    path("language/", look.speak, name="language"),
    path("afresh/", demo.start_afresh, name="start_afresh"),
]

handler400 = "gylebook.web.faults.bad_request"
handler403 = "gylebook.web.faults.forbidden"
handler404 = "gylebook.web.faults.not_found"
handler500 = "gylebook.web.faults.crashed"
