"""The shapes in a description of the interface, so that two descriptions can be held against each other.

A leaf is a word ("string", "string:date", "string(a|b)"); a list, map or choice is a list that begins with
what it is; an object is a dict whose names end in "?" where they may be left out; "#Name" is a named shape.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

Shape = Any
HARMLESS = {"parameters": "may be left out", "body": "may be left out", "answers": "is always there"}
"""What a program that was written before does not notice."""
METHODS = ("get", "put", "post", "delete")


def shapes_of(description: dict[str, Any]) -> dict[str, Any]:
    """`calls` by method and path: parameters, body and answers; `named`: every component."""
    return {
        "calls": {
            f"{method.upper()} {path}": _call(said)
            for path, methods in description["paths"].items()
            for method, said in methods.items()
            if method in METHODS
        },
        "named": {name: shape(one) for name, one in description["components"]["schemas"].items()},
    }


def shape(schema: dict[str, Any]) -> Shape:
    match schema:
        case {"$ref": where}:
            return f"#{where.rpartition('/')[2]}"
        case {"anyOf": choices} | {"oneOf": choices}:
            return ["or", *sorted((shape(one) for one in choices), key=str)]
        case {"type": "array", "prefixItems": items}:
            return ["tuple", *map(shape, items)]
        case {"type": "array", "items": item}:
            return ["list", shape(item)]
        case {"type": "object", "properties": fields}:
            needed = schema.get("required", ())
            return {name if name in needed else f"{name}?": shape(one) for name, one in fields.items()}
        case {"type": "object"}:
            of = schema.get("additionalProperties", True)
            return ["map", shape(of) if isinstance(of, dict) else "any"]
        case {"type": kind, **more}:
            one_of = more.get("enum") or ([more["const"]] if "const" in more else [])
            said = f"({'|'.join(map(str, one_of))})" if one_of else ""
            day = more.get("format", "") if str(more.get("format", "")).startswith("date") else ""
            return f"{kind}{said}" + (f":{day}" if day else "")
        case _:
            return "any"


def differences(old: dict[str, Any], new: dict[str, Any]) -> Iterator[str]:
    """What of `old` is not in `new` as it was, and what `new` has besides, by call and place."""
    for call, was in old["calls"].items():
        now = new["calls"].get(call)
        if now is None:
            yield f"{call} is gone"
            continue
        for part, harmless in HARMLESS.items():
            for what in _differ(was[part], now[part], old["named"], new["named"], set()):
                if not what.endswith(harmless):
                    yield f"{call} {part}{what}"
    yield from (f"{call} is new" for call in new["calls"] if call not in old["calls"])


def _differ(
    was: Shape, now: Shape, olds: dict[str, Shape], news: dict[str, Shape], seen: set[tuple[str, str]]
) -> Iterator[str]:
    if (str(was), str(now)) in seen:
        return
    seen.add((str(was), str(now)))
    was, now = _named(was, olds), _named(now, news)
    if isinstance(was, dict) and isinstance(now, dict):
        yield from _fields_differ(was, now, olds, news, seen)
    elif isinstance(was, list) and isinstance(now, list) and len(was) == len(now) and was[0] == now[0]:
        for one, other in zip(_in_order(was, olds), _in_order(now, news), strict=True):
            yield from _differ(one, other, olds, news, seen)
    elif was != now and not (was == "string" and str(now).startswith("string(")):
        yield f": {was} became {now}"


def _fields_differ(
    was: dict[str, Shape], now: dict[str, Shape], olds: dict[str, Shape], news: dict[str, Shape], seen: Any
) -> Iterator[str]:
    held = {name.removesuffix("?"): one for name, one in now.items()}
    for name, one in was.items():
        plain = name.removesuffix("?")
        if plain not in held:
            yield f".{plain} is gone"
            continue
        if name.endswith("?") != (f"{plain}?" in now):
            yield f".{plain} {'is always there' if name.endswith('?') else 'may be left out'}"
        for what in _differ(one, held[plain], olds, news, seen):
            yield f".{plain}{what}"
    known = {name.removesuffix("?") for name in was}
    yield from (f".{name} is new" for name in held if name not in known)


def _named(one: Shape, names: dict[str, Shape]) -> Shape:
    return names[one[1:]] if isinstance(one, str) and one.startswith("#") else one


def _in_order(shapes: list[Shape], names: dict[str, Shape]) -> list[Shape]:
    """The members of a list, map or tuple as they stand; choices by what they are, whatever their names."""
    return sorted(shapes[1:], key=lambda one: str(_named(one, names))) if shapes[0] == "or" else shapes[1:]


def _call(said: dict[str, Any]) -> dict[str, Any]:
    body = _content(said.get("requestBody", {}))
    answers = {code: _content(one) for code, one in said["responses"].items() if code.startswith("2")}
    parameters = {
        one["name"] if one.get("required") else f"{one['name']}?": shape(one["schema"])
        for one in said.get("parameters", ())
    }
    return {"parameters": parameters, "body": body, "answers": answers}


def _content(said: dict[str, Any]) -> Shape:
    return next((shape(one.get("schema", {})) for one in said.get("content", {}).values()), None)
