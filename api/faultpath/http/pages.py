"""The page at /docs: the operations of the description, rendered here, with no script and nothing from another host."""

import base64
import hashlib
import json
from html import escape
from typing import Any

from faultpath.http.problems import KINDS, TYPES

STYLE = (
    "body{font:16px/1.5 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#1a1a1a;background:#fff}"
    "code,pre{font:14px/1.45 ui-monospace,monospace}pre{background:#f4f4f2;padding:.75rem;overflow:auto;max-height:24rem}"
    "h2{margin-top:2.5rem;border-bottom:1px solid #999}h3{margin:2rem 0 .25rem}table{border-collapse:collapse;width:100%}"
    "td,th{text-align:left;vertical-align:top;padding:.25rem .75rem .25rem 0;border-bottom:1px solid #ddd;overflow-wrap:anywhere}"
    "code{overflow-wrap:anywhere}a{color:inherit}summary{cursor:pointer}"
)
_HASH = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
POLICY = f"default-src 'none'; style-src 'sha256-{_HASH}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"


def docs_page(description: dict[str, Any]) -> str:
    """The page as HTML."""
    groups: dict[str, list[str]] = {}
    for path, operations in description["paths"].items():
        for method, operation in operations.items():
            groups.setdefault(operation.get("tags", ["other"])[0], []).append(_operation(path, method, operation, description))
    title = escape(description["info"]["title"])
    parts = [
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{title}</title>',
        f'<meta name="viewport" content="width=device-width"><style>{STYLE}</style></head><body><main>',
        '<p><a href="/">faultpath</a> · <a href="/judge">Judge an installation</a> · <a href="/rules">Rules</a></p>',
        f"<h1>{title} {escape(description['info']['version'])}</h1><p>{escape(description['info']['description'])}</p>",
        '<p>The same for programs: <a href="/openapi.json">/openapi.json</a>.</p>',
        *(f"<h2>{escape(group.capitalize())}</h2>{''.join(found)}" for group, found in groups.items()),
        "<h2>Problems</h2>",
        _table(("Status", "Type", "Title"), ((str(status), TYPES + kind, title) for kind, (status, title) in KINDS.items())),
        "</main></body></html>",
    ]
    return "\n".join(parts) + "\n"


def _operation(path: str, method: str, operation: dict[str, Any], description: dict[str, Any]) -> str:
    name = escape(operation["operationId"])
    parts = [
        f'<h3 id="{name}"><code>{escape(method.upper())} {escape(path)}</code></h3>',
        f"<p><strong>{escape(operation.get('summary', ''))}.</strong> {escape(operation.get('description', ''))}</p>",
    ]
    if parameters := operation.get("parameters"):
        rows = ((p["name"], p["in"], p.get("description", "")) for p in parameters)
        parts.append("<p>Parameters</p>" + _table(("Name", "In", "Meaning"), rows))
    for media, content in operation.get("requestBody", {}).get("content", {}).items():
        if fields := _fields(content.get("schema", {}), description):
            parts.append(f"<p>Request, <code>{escape(media)}</code></p>" + _table(("Key", "Meaning"), fields))
        if "example" in content:
            text = escape(json.dumps(content["example"], indent=1))
            parts.append(f'<details><summary>Example request</summary><pre tabindex="0">{text}</pre></details>')
    rows = ((status, ", ".join(answer.get("content", {})), answer.get("description", "")) for status, answer in sorted(operation["responses"].items()))
    parts.append("<p>Answers</p>" + _table(("Status", "Formats", "Meaning"), rows))
    for content in operation["responses"].get("200", {}).get("content", {}).values():
        if fields := _fields(content.get("schema", {}), description):
            parts.append(_table(("Key", "Meaning"), fields))
    return "".join(parts)


def _fields(schema: dict[str, Any], description: dict[str, Any]) -> list[tuple[str, str]]:
    named = description["components"]["schemas"].get(schema.get("$ref", "").rsplit("/", 1)[-1], schema)
    return [(name, field.get("description", "")) for name, field in named.get("properties", {}).items()]


def _table(head: tuple[str, ...], rows: Any) -> str:
    cells = "".join(f"<tr>{''.join(f'<td>{escape(str(cell))}</td>' for cell in row)}</tr>" for row in rows)
    return f"<table><thead><tr>{''.join(f'<th>{escape(name)}</th>' for name in head)}</tr></thead><tbody>{cells}</tbody></table>"
