"""The description of the API holds: every act is in it, and random requests made from it meet no undeclared answer."""

from __future__ import annotations

import re

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, seed
from hypothesis import settings as tries
from hypothesis.errors import Unsatisfiable
from schemathesis.core.failures import FailureGroup
from schemathesis.specs.openapi.checks import negative_data_rejection, positive_data_acceptance

from gylebook.steps.catalogue import WORDS, acts, step
from gylebook.steps.shelf import SHELF_ACTS
from gylebook.steps.sums import SUMS
from gylebook.web.api import views
from gylebook.web.api.openapi import made
from gylebook.web.api.urls import urlpatterns
from gylebook.web.wsgi import application
from web.api.asking import script

EXAMPLES = 3


def test_every_act_with_every_field_is_described():
    schemas = made()["components"]["schemas"]
    for act in (*acts().values(), *SHELF_ACTS):
        told = schemas[f"act_{act.name}"]
        assert set(told["properties"]) == {field.name for field in act.fields}
        assert told["additionalProperties"] is False
        for field in act.fields:
            assert told["properties"][field.name]["title"] == field.label


def test_every_step_and_every_sum_is_described_with_its_fields():
    paths = made()["paths"]
    for word in WORDS:
        asked = {each["name"] for each in paths[f"/api/steps/{word}"]["get"]["parameters"]}
        assert asked == {"brew", "confirm"} | {field.name for field in step(word).ask}
    for word, of in SUMS.items():
        asked = {each["name"] for each in paths[f"/api/sums/{word}"]["get"]["parameters"]}
        assert asked == {"confirm"} | {field.name for field in of.fields}


def test_every_address_is_described():
    described = {re.sub(r"(steps|sums)/\w+", r"\1/*", path) for path in made()["paths"]}
    served = {
        "/api/" + re.sub(r"<slug:\w+>", "*", re.sub(r"<int:(\w+)>", r"{\1}", str(each.pattern)))
        for each in urlpatterns
        if each.name not in {"api", "api_openapi"}
    }
    assert described == served


def test_every_reference_leads_somewhere():
    document = made()
    names = set(re.findall(r"#/components/schemas/(\w+)", str(document)))
    assert names <= set(document["components"]["schemas"])


@pytest.fixture
def described(stocked_book, settings):
    """The description as the program itself serves it, with a token in every request."""
    settings.SIGN_IN_REQUIRED = True
    settings.API_PER_MINUTE = 1_000_000
    own = script()
    return schemathesis.openapi.from_wsgi("/api/openapi.json", application), own.headers["authorization"]


def operations():
    return [(method, path) for path, methods in made()["paths"].items() for method in methods]


@pytest.mark.parametrize("which", range(4))
def test_requests_made_at_random_meet_no_answer_that_is_not_declared(described, which):
    schema, key = described
    seen = 0
    for number, result in enumerate(schema.get_all_operations()):
        if number % 4 != which:
            continue
        seen += 1
        _try(result.ok(), key)
    assert seen >= len(operations()) // 4


def _try(operation, key):
    # What a text means is read by the book, so a string that is no gravity is refused with 422 however well it fits
    # the schema; and an entry that does not fit is told in the results, where it stops no other.
    left_out = [positive_data_acceptance]
    if operation.path == "/api/entries":
        left_out.append(negative_data_rejection)

    @seed(20261120)
    @tries(
        max_examples=EXAMPLES,
        derandomize=False,
        database=None,
        deadline=None,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    def attempt(case):
        case.call_and_validate(headers={"Authorization": key, "Accept-Encoding": "identity"}, excluded_checks=left_out)

    for mode in schemathesis.GenerationMode:
        try:
            given(case=operation.as_strategy(generation_mode=mode))(attempt)()
        except Unsatisfiable:
            # An address that asks for nothing cannot be asked wrongly.
            assert mode is schemathesis.GenerationMode.NEGATIVE
            assert not operation.query
            assert not operation.path_parameters


def test_an_answer_that_is_not_declared_is_found(described, monkeypatch):
    schema, key = described
    monkeypatch.setattr(views, "brew_shape", lambda *args, **named: {"brew": 3})
    with pytest.raises(FailureGroup):
        _try(schema["/api/brews"]["GET"], key)
