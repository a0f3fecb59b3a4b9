"""What an expression of the program is made of: our own words alone, or something that came in."""

from __future__ import annotations

import ast
import builtins
from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import Any

GIVES_OURS = {"re.escape", "word_file", "int", "len", "range", "enumerate"}
_PARTS: dict[type[ast.AST], tuple[str, ...]] = {
    ast.Constant: (),
    **dict.fromkeys((ast.Attribute, ast.Subscript, ast.FormattedValue, ast.Starred), ("value",)),
    **dict.fromkeys((ast.GeneratorExp, ast.ListComp), ("elt",)),
    **dict.fromkeys((ast.Tuple, ast.List), ("elts",)),
    ast.JoinedStr: ("values",),
    ast.Dict: ("keys", "values"),
    ast.DictComp: ("key", "value"),
    ast.BinOp: ("left", "right"),
    ast.IfExp: ("body", "orelse"),
}
_Function = ast.FunctionDef
_Seen = frozenset[tuple[ast.AST, str]]


def bound(name: str, inside: ast.AST) -> Iterator[ast.expr]:
    """What a name is given there: by `=`, `:=`, `for`, `with`, in a comprehension."""
    for node in ast.walk(inside):
        match node:
            case ast.Assign(targets=targets, value=value):
                pairs = [(target, value) for target in targets]
            case ast.NamedExpr(target=target, value=value) | ast.AugAssign(target=target, value=value):
                pairs = [(target, value)]
            case ast.withitem(context_expr=value, optional_vars=ast.expr() as target):
                pairs = [(target, value)]
            case ast.For(target=target, iter=value) | ast.comprehension(target=target, iter=value):
                pairs = [(target, value)]
            case _:
                continue
        for target, value in pairs:
            if any(isinstance(one, ast.Name) and one.id == name for one in ast.walk(target)):
                yield value


def parts_of_call(call: ast.Call) -> list[ast.AST]:
    """What may be in its result: of one that escapes, or takes nothing, none; of `get` the key is not."""
    name, args = ast.unparse(call.func), list[ast.AST](call.args)
    if name in GIVES_OURS or (name == "map" and ast.unparse(args[0]) == "re.escape"):
        return []
    if isinstance(call.func, ast.Attribute):
        args = [call.func.value, *(args[1:] if call.func.attr == "get" else args)]
    return [*args, *(word.value for word in call.keywords)]


def is_called_by_others(function: ast.FunctionDef) -> bool:
    """A route, a use case of the desk: whatever is handed to it may have come in."""
    marks = (ast.unparse(one).partition("(")[0] for one in function.decorator_list)
    return any(one not in {"cache", "lru_cache"} for one in marks)


def parameters_of(function: ast.FunctionDef) -> list[str]:
    """Those that take a place first, in order; the one that takes all others is the last of them."""
    of = function.args
    several = [one for one in (of.vararg,) if one]
    return [one.arg for one in (*of.posonlyargs, *of.args, *several, *of.kwonlyargs)]


def handed_over(call: ast.Call, function: ast.FunctionDef, name: str) -> list[ast.AST]:
    """For one parameter: where several are handed over as one, that one; all that is left for one that takes
    all others.
    """
    parameters, others = parameters_of(function), function.args.vararg
    place = parameters.index(name) - (parameters[0] == "self")
    until = None if others and others.arg == name else place + 1
    by_name = [word.value for word in call.keywords if word.arg in (name, None)]
    several = [one for one in call.args[:place] if isinstance(one, ast.Starred)]
    return [*by_name, *several, *call.args[place:until]]


def names_at_the_top(tree: ast.Module) -> set[str]:
    """What a module names when it is loaded, and what Python itself names."""
    found = set(dir(builtins))
    for node in ast.walk(ast.Module([one for one in tree.body if not isinstance(one, _Function)], [])):
        match node:
            case ast.Import(names=names) | ast.ImportFrom(names=names):
                found |= {one.asname or one.name.partition(".")[0] for one in names}
            case ast.Name(id=name, ctx=ast.Store()):
                found.add(name)
    return found | {one.name for one in tree.body if isinstance(one, _Function | ast.ClassDef)}


def as_list(parts: Any) -> list[ast.AST]:
    return [one for one in (parts if isinstance(parts, list) else [parts]) if one is not None]


class Program:
    """Files by name. Whoever asks of an expression is answered by following names, and a parameter to every
    call of its function; a function that is handed over as a value is called nobody knows how.
    """

    def __init__(self, files: Mapping[str, ast.Module]) -> None:
        self._calls: dict[str, list[tuple[str, ast.Call]]] = defaultdict(list)
        self._around: dict[ast.AST, tuple[_Function, ...]] = {}
        self._named: dict[str, list[tuple[str, ast.Name]]] = defaultdict(list)
        self._at_the_top: dict[ast.AST, str] = {}
        self._imported: dict[str, set[str]] = defaultdict(set)
        self._loaded: dict[_Function, set[str]] = {}
        for file, tree in files.items():
            self._at_the_top |= dict.fromkeys(tree.body, file)
            self._read(file, tree, ())
            loaded = names_at_the_top(tree)
            self._loaded |= {one: loaded for one in ast.walk(tree) if isinstance(one, _Function)}

    def _read(self, file: str, node: ast.AST, around: tuple[_Function, ...]) -> None:
        self._around[node] = around
        match node:
            case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)):
                self._calls[name].append((file, node))
            case ast.Name(id=name, ctx=ast.Load()):
                self._named[name].append((file, node))
            case ast.Import(names=names):
                self._imported[file] |= {one.name for one in names}
            case ast.ImportFrom(module=module, names=names):
                self._imported[file] |= {module or "", *(f"{module}.{one.name}" for one in names)}
        inner = (*around, node) if isinstance(node, _Function) else around
        for child in ast.iter_child_nodes(node):
            self._read(file, child, inner)

    def in_functions(self, names: set[str]) -> list[tuple[str, ast.Call]]:
        """Calls of these, as they are written, but for those that run while a module is loaded."""
        return [
            (file, call)
            for name in {one.rpartition(".")[2] for one in names}
            for file, call in self._calls.get(name, [])
            if ast.unparse(call.func) in names and self._around[call]
        ]

    def calls(self, name: str) -> list[tuple[str, ast.Call]]:
        """Calls by the last part of their name, each with its file."""
        return self._calls.get(name, [])

    def is_ours(self, made_of: ast.AST, seen: _Seen = frozenset()) -> bool:
        """Whether it can hold nothing but our own words and what was escaped."""
        if isinstance(made_of, ast.Name):
            return self._is_name_ours(made_of.id, self._around[made_of], seen)
        if isinstance(made_of, ast.Call):
            parts = parts_of_call(made_of)
        elif type(made_of) in _PARTS:
            parts = [one for name in _PARTS[type(made_of)] for one in as_list(getattr(made_of, name))]
        else:
            return False
        return all(self.is_ours(one, seen) for one in parts)

    def _is_name_ours(self, name: str, around: tuple[_Function, ...], seen: _Seen) -> bool:
        """What is named at the top of a module was made when it was loaded, and so is what runs there."""
        if not around or (around[-1], name) in seen:
            return True
        here = around[-1]
        seen |= {(here, name)}
        given = list(bound(name, here))
        if name in parameters_of(here):
            return self._is_given_ours(here, name, seen) and all(self.is_ours(one, seen) for one in given)
        if given:
            return all(self.is_ours(one, seen) for one in given)
        return self._is_name_ours(name, around[:-1], seen) if around[:-1] else name in self._loaded[here]

    def _is_given_ours(self, function: _Function, name: str, seen: _Seen) -> bool:
        calls = [call for file, call in self._calls.get(function.name, []) if self._knows(file, function)]
        named = [one for file, one in self._named[function.name] if self._knows(file, function)]
        as_value = {one for one in named if not self._is_local(one)}
        by_us = [call for call in calls if function not in self._around[call]]
        if name == "self" or is_called_by_others(function) or as_value - {call.func for call in calls}:
            return False
        given = [one for call in calls for one in handed_over(call, function, name)]
        return bool(by_us) and all(self.is_ours(one, seen) for one in given)

    def _knows(self, file: str, function: _Function) -> bool:
        """Whether its name can mean it there; a method's can anywhere."""
        home = self._at_the_top.get(function)
        if home is None or home == file:
            return True
        module = home.removesuffix(".py").replace("/", ".")
        return bool({module, f"{module}.{function.name}"} & self._imported[file])

    def _is_local(self, name: ast.Name) -> bool:
        """Whether it names something of its function, rather than what the module names so."""
        return any(
            name.id in {one.arg for one in ast.walk(function.args) if isinstance(one, ast.arg)}
            or any(bound(name.id, function))
            for function in self._around[name]
        )
