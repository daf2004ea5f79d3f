"""The shapes that a JSON Schema (draft 2020-12) is put together from, and its text."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

Node = dict[str, Any]

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def table(description: str, entries: Mapping[str, Node], required: Iterable[str]) -> Node:
    """Return a table of these entries and no others."""
    return {
        "description": description,
        "type": "object",
        "properties": dict(entries),
        "required": list(required),
        "additionalProperties": False,
    }


def refer(definition: str, description: str) -> Node:
    """Return what holds where a definition of the schema's own holds."""
    return {"$ref": f"#/$defs/{definition}", "description": description}


def listed(description: str, item: Node, **limits: int) -> Node:
    """Return a list of items, with the limits that the standard names (``maxItems``)."""
    return {"description": description, "type": "array", "items": item, **limits}


def written(schema: Node) -> str:
    """Return a schema as the text of a JSON file."""
    return json.dumps(schema, ensure_ascii=False, indent=2) + "\n"
