"""The description of the API (OpenAPI 3.1), made from the types of the answers and from what each act asks for."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import msgspec
from django.http import HttpResponse

from gylebook import __version__
from gylebook.phrases import speaking
from gylebook.steps.catalogue import acts, steps
from gylebook.steps.decision import Act
from gylebook.steps.fields import Field
from gylebook.steps.shelf import SHELF_ACTS
from gylebook.steps.sums import SUMS
from gylebook.web.api import shapes
from gylebook.web.api.entries import WITHDRAW
from gylebook.web.api.fields import field_schema
from gylebook.web.api.gate import Asking, as_json, endpoint
from gylebook.web.api.pocket import Pocket

Plain = dict[str, Any]

_TYPES = (
    shapes.Fault, shapes.Hello, shapes.Brews, shapes.OneBrew, shapes.Entries, shapes.Today, shapes.Cellar,
    shapes.StepAnswer, shapes.SumAnswer, shapes.BatchShape, shapes.Results, Pocket,
)  # fmt: skip
_REF = "#/components/schemas/{name}"
_LARGEST = 2_147_483_647
_FAULTS = {
    400: "The request cannot be read.",
    401: "Nobody is signed in, or the token opens nothing.",
    403: "The token may not, or the mark against forgery is missing.",
    404: "There is no such thing in this book.",
    405: "The address takes another method.",
    409: "Somebody wrote first, or it must not happen now.",
    413: "Too large.",
    415: "Not JSON.",
    422: "Something that was sent cannot be; the field is named.",
    429: "Too many requests; Retry-After says how many seconds to wait.",
    503: "The book cannot be opened for the moment; send it again later.",
}
_EVERYWHERE = (401, 403, 405, 422, 429, 503)


@endpoint(scope=None)
def document(asking: Asking) -> HttpResponse:
    """The description itself."""
    asking.query()
    with speaking(None):  # programmers read it: in one language, and in the units in which limits are sent
        return as_json(made())


def made() -> Plain:
    """The whole description."""
    _, components = msgspec.json.schema_components(_TYPES, ref_template=_REF)
    schemas: Plain = dict(components)
    schemas |= {f"act_{act.name}": _values(act) for act in _acts()}
    schemas["Sent"]["properties"]["act"] = {"type": "string", "enum": [*(act.name for act in _acts()), WITHDRAW.name]}
    schemas["Sent"]["properties"]["values"] = {
        "anyOf": [{"$ref": _REF.format(name=f"act_{act.name}")} for act in _acts()],
        "description": "Texts by field name, as typed; which fields, the act says.",
    }
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Gylebook",
            "version": __version__,
            "description": "The book for programs: the acts, questions and answers of its pages, as JSON.",
        },
        "servers": [{"url": "/"}],
        "security": [{"token": []}, {"browser": []}],
        "paths": _paths(),
        "components": {
            "schemas": schemas,
            "securitySchemes": {
                "token": {"type": "http", "scheme": "bearer"},
                "browser": {"type": "apiKey", "in": "cookie", "name": "gylebook_session"},
            },
        },
    }


def _acts() -> tuple[Act, ...]:
    return (*acts().values(), *SHELF_ACTS)


def _values(act: Act) -> Plain:
    """What is typed at an act."""
    return {
        "title": act.words,
        "description": " ".join((act.about, *act.cautions)).strip() or act.words,
        "type": "object",
        "properties": {field.name: field_schema(field) for field in act.fields},
        "required": [field.name for field in act.fields if field.required and not field.default],
        "additionalProperties": False,
    }


def _paths() -> Plain:
    number = _parameter("number", "path", {"type": "integer", "minimum": 1, "maximum": 999_999_999}, "The brew")
    after = {"type": "integer", "minimum": 0, "maximum": _LARGEST}
    limit = _parameter("limit", "query", {"type": "integer", "minimum": 1, "maximum": 200}, "How many at most")
    opened = _parameter("open", "query", {"type": "string", "enum": ["0", "1"]}, "1 for open brews, 0 for closed ones")
    paths: Plain = {
        "/api/hello": _get("hello", "Who speaks with whom", "Hello", security=[{}, {"token": []}, {"browser": []}]),
        "/api/pocket": _get("pocket", "Everything that a phone keeps, in one document", "Pocket", kept=True),
        "/api/brews": _get(
            "brews",
            "Brews by number, newest first",
            "Brews",
            [opened, _parameter("after", "query", after, "The `after` of the page before"), limit],
        ),
        "/api/brews/{number}": _get("brew", "One brew, its answer and its outlook", "OneBrew", [number], (404,)),
        "/api/brews/{number}/entries": _get(
            "entries",
            "A brew's log in order",
            "Entries",
            [number, _parameter("after", "query", after, "Entries behind this one"), limit],
            (404,),
        ),
        "/api/today": _get("today", "What is due across all brews", "Today"),
        "/api/cellar": _get("cellar", "What stands in bottles", "Cellar"),
        "/api/entries": {"post": _post()},
    }
    for step in steps():
        whose = _parameter("brew", "query", {"type": "integer", "minimum": 1, "maximum": _LARGEST}, "The brew")
        whose["required"] = True
        given = [whose, *_of_fields(step.ask, supposed=True)]
        paths[f"/api/steps/{step.word}"] = _get(f"step_{step.word}", step.question, "StepAnswer", given, (404,))
    for of in SUMS.values():
        given = _of_fields(of.fields, supposed=False)
        paths[f"/api/sums/{of.word}"] = _get(f"sum_{of.word}", of.question, "SumAnswer", given)
    return paths


def _of_fields(fields: Iterable[Field], *, supposed: bool) -> list[Plain]:
    """The fields as parameters, and the one that insists; where something is supposed, nothing can be missing."""
    found = []
    fields = tuple(fields)
    for field in fields:
        told = _parameter(field.name, "query", field_schema(field), field.label)
        told["required"] = field.required and not field.default and not supposed
        found.append(told)
    names: Plain = {"type": "array", "items": {"type": "string", "enum": [field.name for field in fields]}}
    insist = _parameter("confirm", "query", names, "Names of fields whose unusual value is meant")
    return [*found, {**insist, "style": "form", "explode": True}]


def _parameter(name: str, where: str, schema: Plain, words: str) -> Plain:
    return {"name": name, "in": where, "description": words, "required": where == "path", "schema": schema}


def _get(
    name: str,
    words: str,
    answer: str,
    given: Iterable[Plain] = (),
    faults: tuple[int, ...] = (),
    *,
    security: list[Plain] | None = None,
    kept: bool = False,
) -> Plain:
    found: Plain = {
        "operationId": name,
        "summary": words,
        "parameters": list(given),
        "responses": {"200": _body(answer, "The answer."), **_refused(faults)},
    }
    if kept:
        found["parameters"].append(_parameter("If-None-Match", "header", {"type": "string"}, "The ETag that is kept"))
        found["responses"]["304"] = {"description": "What is kept is as it is."}
    if security is not None:
        found["security"] = security
    return {"get": found}


def _post() -> Plain:
    return {
        "operationId": "write",
        "summary": "Write entries, each exactly once; what became of each is told in their order",
        "parameters": [_parameter("X-CSRFToken", "header", {"type": "string"}, "The mark, from a browser alone")],
        "requestBody": {"required": True, "content": {"application/json": {"schema": _ref("BatchShape")}}},
        "responses": {"200": _body("Results", "What became of each."), **_refused((400, 413, 415))},
    }


def _refused(further: tuple[int, ...]) -> Plain:
    found = {str(status): _body("Fault", _FAULTS[status]) for status in sorted({*_EVERYWHERE, *further})}
    found["429"]["headers"] = {"Retry-After": {"schema": {"type": "integer"}, "description": "Seconds to wait"}}
    return found


def _body(name: str, words: str) -> Plain:
    return {"description": words, "content": {"application/json": {"schema": _ref(name)}}}


def _ref(name: str) -> Plain:
    return {"$ref": _REF.format(name=name)}
