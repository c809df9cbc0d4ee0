"""Addresses below /account/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.account import devices, passkeys, people, tokens, views

app_name = "account"
urlpatterns = [
    path("", views.account, name="account"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("devices/", devices.listed, name="devices"),
    path("devices/add/", devices.add, name="device_add"),
    path("devices/revoke/", devices.revoke, name="device_revoke"),
    path("devices/revoke-all/", devices.revoke_all, name="device_revoke_all"),
    path("tokens/", tokens.page, name="tokens"),
    path("tokens/revoke/", tokens.revoke, name="token_revoke"),
    path("people/", people.listed, name="people"),
    path("people/invite/", people.invite, name="invite"),
    path("people/remove/", people.remove, name="person_remove"),
    path("passkeys/", passkeys.listed, name="passkeys"),
    path("passkeys/begin/", passkeys.begin, name="passkey_begin"),
    path("passkeys/finish/", passkeys.finish, name="passkey_finish"),
    path("passkeys/ask/", passkeys.ask, name="passkey_ask"),
    path("passkeys/answer/", passkeys.answer, name="passkey_answer"),
    path("passkeys/remove/", passkeys.remove, name="passkey_remove"),
]
