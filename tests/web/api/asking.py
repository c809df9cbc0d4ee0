"""Asking the API as a script does: with a token, JSON out and in."""

from __future__ import annotations

import json

from django.test import Client

from gylebook.store import tokens
from web import stocked


class Script:
    """A program with its token."""

    def __init__(self, secret):
        self.client, self.headers = Client(), {"authorization": f"Bearer {secret}"}

    def get(self, path, **further):
        return self.client.get(f"/api/{path}", headers={**self.headers, **further})

    def read(self, path):
        response = self.get(path)
        assert response.status_code == 200, (path, response.content)
        return json.loads(response.content)

    def post(self, body, **further):
        text = body if isinstance(body, str | bytes) else json.dumps(body)
        return self.client.post(
            "/api/entries", text, content_type="application/json", headers={**self.headers, **further}
        )

    def write(self, *entries):
        response = self.post({"entries": list(entries)})
        assert response.status_code == 200, response.content
        return json.loads(response.content)["results"]


def fault_of(response):
    return json.loads(response.content)["error"]


def script(may="both", person="owner", name="a script"):
    return Script(tokens.make(name, person, may, stocked.NOW)[1])


def reading(name="r1", gravity="1.012", brew="3", **further):
    return {
        "id": name,
        "brew": brew,
        "act": "reading",
        "values": {"gravity": gravity, "temp": "19 °C"},
        "happened_at": "2026-11-20T17:30:00+00:00",
        **further,
    }
