"""The published description of the API is the one the code gives.

Write it anew with: manage.py spectacular --file fixtures/openapi.yaml
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiYamlRenderer
from drf_spectacular.validation import validate_schema

from tests.house.api_world import calls

PUBLISHED = Path(__file__).parents[2] / "fixtures" / "openapi.yaml"


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    GENERATOR_STATS.reset()
    found: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)
    assert not GENERATOR_STATS, "the generator warned"
    return found


def operations(document: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    return [
        (path, method, operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    ]


def test_the_published_document_is_the_generated_one(document: dict[str, Any]) -> None:
    generated = OpenApiYamlRenderer().render(document, renderer_context={})
    assert PUBLISHED.read_bytes().strip() == generated.strip()


def test_the_document_is_valid_openapi() -> None:
    validate_schema(yaml.safe_load(PUBLISHED.read_text()))


def test_every_method_of_the_api_is_described_once(document: dict[str, Any]) -> None:
    names = [operation["operationId"] for _, _, operation in operations(document)]
    assert sorted(names) == sorted(call.contract.name for call in calls())
    assert len(set(names)) == len(names)


def test_every_operation_has_words_problems_and_security(
    document: dict[str, Any],
) -> None:
    for path, method, operation in operations(document):
        where = f"{method} {path}"
        assert operation["summary"], where
        assert "Operation: `" in operation["description"], where
        assert operation["security"], where
        assert {"400", "401", "403", "429"} <= set(operation["responses"]), where
        for status in set(operation["responses"]) - {"200", "201", "204"}:
            content = operation["responses"][status]["content"]
            assert list(content) == ["application/problem+json"], where


def test_no_description_of_an_answer_is_left_open(document: dict[str, Any]) -> None:
    for path, method, operation in operations(document):
        good = {"200", "201", "204"} & set(operation["responses"])
        assert len(good) == 1, (method, path)
        answer = operation["responses"][good.pop()]
        schemas = [one["schema"] for one in answer.get("content", {}).values()]
        assert all("$ref" in schema for schema in schemas), (method, path)
