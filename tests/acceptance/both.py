"""The same work done on the page and by command, at the same moment of an invented autumn."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from html import unescape
from typing import Any

import time_machine
from django.test import Client

from acceptance.command_line import BEGIN, Told, options, told
from gylebook.steps.catalogue import act as act_named

_SCRIPTS = re.compile(r"<(script|style)\b.*?</\1>", re.DOTALL)
_WORKINGS = re.compile(r'<div class="working".*?</div>', re.DOTALL)
# Inline marks stand within a sentence; everything else begins a new one.
_INLINE = re.compile(r"</?(?:a|b|em|i|s|small|span|strong|abbr|time|details|summary)\b[^>]*>")
_TAG = re.compile(r"<[^>]+>")


def plain(html: str) -> str:
    """What a page says, in one line; the workings are left out."""
    main = html[html.index("<main") : html.index("</main>")] if "<main" in html else html
    text = _TAG.sub(" ", _INLINE.sub("", _WORKINGS.sub(" ", _SCRIPTS.sub(" ", main))))
    return " ".join(unescape(text).replace(": show the working", "").replace("\u00a0", " ").split())


@dataclass
class ByPage:
    """Writes on the page and reads the page's words."""

    client: Client = field(default_factory=lambda: Client(headers={"accept-language": "en-GB"}))
    written: int = 0

    def post(self, day: float, address: str, data: Mapping[str, str]) -> Any:
        self.written += 1
        with time_machine.travel(BEGIN + timedelta(days=day), tick=False):
            sent = self.client.post(address, {"command_id": f"sheet-{day}-{self.written}", **data})
            if sent.status_code == 302:
                return self.client.get(sent["Location"])
            return sent

    def keep(self, day: float, act: str, **texts: str) -> str:
        where = {"keep_place": "/settings/places/", "keep_kit": "/stores/kits/new/"}[act]
        return plain(self.post(day, where, {"act": act, **texts}).content.decode())

    def write(self, day: float, act: str, brew: int = 1, **texts: str) -> str:
        if act == "plan":
            data = {"act": act, "own": "" if texts.get("kit") else "1", **texts}
            answer = self.post(day, "/brews/new/", data)
        else:
            answer = self.post(day, f"/brews/{brew}/{act_named(act).step}/", {"act": act, **texts})
        assert answer.status_code == 200, plain(answer.content.decode())
        return plain(answer.content.decode())

    def ask(self, day: float, step: str, brew: int = 1, **supposed: str) -> str:
        return self._get(day, f"/brews/{brew}/{step}/", supposed)

    def reckon(self, word: str, **asked: str) -> str:
        return self._get(0, f"/reckon/{word}/", asked)

    def _get(self, day: float, address: str, asked: Mapping[str, str]) -> str:
        with time_machine.travel(BEGIN + timedelta(days=day), tick=False):
            answer = self.client.get(address, dict(asked))
        assert answer.status_code == 200, plain(answer.content.decode())
        return plain(answer.content.decode())


@dataclass
class ByCommand:
    """The same by command; the words are those of the terminal, unwrapped."""

    def keep(self, day: float, act: str, **texts: str) -> str:
        return self._said(told("shelf", act, *options(texts), day=day))

    def write(self, day: float, act: str, brew: int = 1, **texts: str) -> str:
        return self._said(told("log", "new" if act == "plan" else str(brew), act, *options(texts), day=day))

    def ask(self, day: float, step: str, brew: int = 1, **supposed: str) -> str:
        return self._said(told("ask", str(brew), step, *options(supposed), day=day))

    def reckon(self, word: str, **asked: str) -> str:
        return self._said(told("reckon", word, *options(asked), day=0))

    def _said(self, answer: Told) -> str:
        assert answer.code == 0, answer.err
        return " ".join(answer.out.split())
