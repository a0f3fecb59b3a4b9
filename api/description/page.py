"""The description as a page of our own: nothing is fetched from elsewhere."""

from __future__ import annotations

import json
import re
from typing import Any

from jinja2 import Environment
from markupsafe import Markup, escape

from api.description.refusals import ERRORS

_PAGE = """{% macro table(caption, rows) %}<table><caption>{{ caption }}</caption>
{% for row in rows %}<tr><th scope="row"><code>{{ row.name }}</code></th><td>{{ row.kind }}</td>
<td>{{ row.needed }}</td><td>{{ row.meaning | with_code if row.meaning }}</td></tr>
{% endfor %}</table>{% endmacro %}<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Beforeflash: JSON interface</title><link rel="stylesheet" href="/api/docs.css"></head>
<body><main><h1>JSON interface</h1>
<p>{{ about }}</p>
<p>Send a token with every call: <code>Authorization: Bearer TOKEN</code>. Who signs in by cookie sends
<code>X-Form-Token</code> with every change. The whole description is
<a href="/api/openapi.json">openapi.json</a>.</p>
<p>Any call may also be answered with:</p>
<ul>{% for status, meaning in refusals %}<li>{{ status }}: {{ meaning | with_code }}</li>{% endfor %}</ul>
<nav>{% for tag, calls in groups %}<p>{{ tag }}:
{% for call in calls %}<a href="#{{ call.id }}">{{ call.id }}</a> {% endfor %}</p>{% endfor %}</nav>
{% for tag, calls in groups %}{% for call in calls %}<section id="{{ call.id }}">
<h2><code>{{ call.method }} {{ call.path }}</code></h2>
<p>{{ call.about | with_code }}</p>
{% if call.parameters %}{{ table("Parameters", call.parameters) }}{% endif %}
{% if call.body %}<p>Body: {{ call.body }}, such as</p><pre>{{ call.example }}</pre>{% endif %}
<ul>{% for status, meaning in call.answers %}<li>{{ status }}: {{ meaning }}</li>{% endfor %}</ul></section>
{% endfor %}{% endfor %}
<h1>Bodies</h1>
{% for one in shapes %}<section id="shape-{{ one.name }}"><h2><code>{{ one.name }}</code></h2>
<p>{{ one.about | with_code }} {{ one.words }}</p>
{% if one.fields %}{{ table("Fields", one.fields) }}{% endif %}</section>
{% endfor %}</main></body></html>"""

STYLE = """:root { color-scheme: light dark; font: 16px/1.5 system-ui, sans-serif; }
main { max-width: 60rem; margin: 0 auto; padding: 1rem; }
section { border-top: 1px solid; padding: .5rem 0; }
h2 { font-size: 1rem; margin: .5rem 0; overflow-wrap: anywhere; }
code, pre { font-family: ui-monospace, monospace; } pre { overflow-x: auto; }
table { border-collapse: collapse; } caption { text-align: left; }
th, td { text-align: left; vertical-align: top; padding: 0 1rem 0 0; overflow-wrap: anywhere; }
@media (max-width: 40rem) { tr, th, td { display: block; } tr { padding: .25rem 0; } }
"""


def with_code(text: str) -> Markup:
    """A docstring's text, with what stands between backticks as code."""
    return Markup(re.sub(r"`([^`]+)`", r"<code>\1</code>", str(escape(text))))  # noqa: S704  # escaped before


_ENVIRONMENT = Environment(autoescape=True)
_ENVIRONMENT.filters["with_code"] = with_code
_TEMPLATE = _ENVIRONMENT.from_string(_PAGE)
_OF_ANY = (401, 403, 413, 422, 429, 503)
_LINK = Markup('<a href="#shape-{0}">{0}</a>')


def page(described: dict[str, Any]) -> str:
    """Every call by what it is about, then every body that is named in one."""
    groups: dict[str, list[dict[str, Any]]] = {}
    for path, methods in described["paths"].items():
        for method, call in methods.items():
            groups.setdefault(call["tags"][0], []).append(_call(call, method, path))
    return _TEMPLATE.render(
        about=described["info"]["description"],
        refusals=[(status, ERRORS[status]["description"]) for status in _OF_ANY],
        groups=groups.items(),
        shapes=[_shape(name, schema) for name, schema in described["components"]["schemas"].items()],
    )


def kind_of(schema: dict[str, Any]) -> Markup:
    """What a schema takes, in words: "number or nothing", "list of" a body by its name."""
    match schema:
        case {"$ref": where}:
            return _LINK.format(where.rpartition("/")[2])
        case {"anyOf": choices}:
            return Markup(" or ").join(kind_of(one) for one in choices)
        case {"type": "array", "prefixItems": items}:
            return Markup(", ").join(kind_of(one) for one in items)
        case {"type": "array", "items": item}:
            return Markup("list of ") + kind_of(item)
        case {"type": "object", "additionalProperties": dict(item)}:
            return Markup("each name with ") + kind_of(item)
        case {"const": only}:
            return Markup("{}").format(json.dumps(only))
        case {"enum": words}:
            return Markup("{}").format(" or ".join(str(one) or '""' for one in words))
        case {"type": "null"}:
            return Markup("nothing")
        case {"type": kind}:
            return Markup("{}").format(
                {"date": "day", "date-time": "moment"}.get(schema.get("format", ""), kind)
            )
        case _:
            return Markup("anything")


def _call(call: dict[str, Any], method: str, path: str) -> dict[str, Any]:
    content: dict[str, Any] = next(iter(call.get("requestBody", {}).get("content", {}).values()), {})
    return {
        "id": call["operationId"],
        "method": method.upper(),
        "path": path,
        "about": call.get("description") or call["summary"],
        "parameters": [_parameter(one) for one in call.get("parameters", ())],
        "body": kind_of(content["schema"]) if content else "",
        "example": json.dumps(content.get("example"), indent=2),
        "answers": [
            (status, _answer(said))
            for status, said in call["responses"].items()
            if int(status) not in _OF_ANY
        ],
    }


def _parameter(said: dict[str, Any]) -> dict[str, Any]:
    return {
        "name": said["name"],
        "kind": kind_of(said["schema"]),
        "needed": "needed" if said["required"] else "",
        "meaning": f"{said['description']}. Such as {json.dumps(said['example'])}",
    }


def _answer(said: dict[str, Any]) -> Markup:
    shown = [kind_of(one["schema"]) for one in said.get("content", {}).values()]
    about = said["description"] if said["description"] != "Successful Response" else "done"
    return Markup(": ").join([with_code(about), *shown])


def _shape(name: str, schema: dict[str, Any]) -> dict[str, Any]:
    needed = schema.get("required", ())
    fields = [
        {"name": field, "kind": kind_of(said), "needed": "" if field in needed else "may be left out"}
        for field, said in schema.get("properties", {}).items()
    ]
    about = (
        schema.get("description", "")
        if fields
        else Markup("{} ").format(schema.get("description", "")) + kind_of(schema)
    )
    return {"name": name, "about": about, "fields": fields}
