"""Our own page over the description of the interface: nothing is fetched from elsewhere."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, PlainTextResponse
from jinja2 import Environment

from api.deps import AnyCall

router = APIRouter(include_in_schema=False)

_PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Beforeflash: JSON interface</title><link rel="stylesheet" href="/api/docs.css"></head>
<body><main><h1>JSON interface</h1>
<p>{{ about }}</p>
<p>Send a token with every call: <code>Authorization: Bearer TOKEN</code>. The whole description is
<a href="/api/openapi.json">openapi.json</a>.</p>
{% for call in calls %}<section><h2><code>{{ call.method }} {{ call.path }}</code></h2>
<p>{{ call.about }}</p>
{% if call.parameters %}<p>Parameters:
{% for name in call.parameters %}<code>{{ name }}</code> {% endfor %}</p>
{% endif %}{% if call.fields %}<table><caption>Body</caption>
{% for field in call.fields %}<tr><th scope="row"><code>{{ field.name }}</code></th><td>{{ field.type }}</td>
<td>{{ "needed" if field.needed else "" }}</td></tr>{% endfor %}</table>{% endif %}</section>
{% endfor %}</main></body></html>"""

_STYLE = """:root { color-scheme: light dark; font: 16px/1.5 system-ui, sans-serif; }
main { max-width: 50rem; margin: 0 auto; padding: 1rem; }
section { border-top: 1px solid; padding: .5rem 0; }
h2 { font-size: 1rem; margin: .5rem 0; } code { font-family: ui-monospace, monospace; }
table { border-collapse: collapse; } caption { text-align: left; }
th, td { text-align: left; padding: 0 1rem 0 0; overflow-wrap: anywhere; }
"""

_TEMPLATE = Environment(autoescape=True).from_string(_PAGE)


@router.get("/docs")
def show_docs(request: Request, call: AnyCall) -> HTMLResponse:
    description = request.app.openapi()
    calls = [
        _one_call(description, method.upper(), path, said)
        for path, methods in description["paths"].items()
        for method, said in methods.items()
    ]
    return HTMLResponse(_TEMPLATE.render(about=description["info"]["description"], calls=calls))


@router.get("/docs.css")
def docs_style(call: AnyCall) -> PlainTextResponse:
    return PlainTextResponse(_STYLE, media_type="text/css")


def _one_call(description: dict[str, Any], method: str, path: str, said: dict[str, Any]) -> dict[str, Any]:
    return {
        "method": method,
        "path": path,
        "about": said.get("description") or said.get("summary", ""),
        "parameters": [item["name"] for item in said.get("parameters", ())],
        "fields": _fields(description, said.get("requestBody", {})),
    }


def _fields(description: dict[str, Any], body: dict[str, Any]) -> list[dict[str, Any]]:
    found = []
    for content in body.get("content", {}).values():
        name = content.get("schema", {}).get("$ref", "").rpartition("/")[2]
        schema = description["components"]["schemas"].get(name, {})
        needed = schema.get("required", ())
        for field, said in schema.get("properties", {}).items():
            kind = said.get("type") or said.get("$ref", "").rpartition("/")[2] or "see openapi.json"
            found.append({"name": field, "type": kind, "needed": field in needed})
    return found
