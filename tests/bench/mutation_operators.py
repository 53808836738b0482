"""Small faults that a programmer could have made, put into a module one at a time.

Operators  OPERATORS, fixed: each looks at one node of the syntax tree and gives what could stand there instead. None depends on chance.
Untouched  what runs for a type checker or a reader only: annotations, docstrings, decorators, keywords of a class, `assert`,
           `if TYPE_CHECKING`, and the words of messages.
A mutant   is named by its module, the function it is in, the operator, what stood there and what stands there now; the same change twice
           in one function is numbered. The name holds no line, so that it lasts while the code above it changes.
"""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from msgspec import Struct

BOUNDARIES: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
}
OPPOSITES: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
    ast.BitXor: ast.BitOr,
    ast.LShift: ast.RShift,
    ast.RShift: ast.LShift,
}
COUNTERPARTS = {"min": "max", "max": "min", "any": "all", "all": "any"}
ESCAPES = ("escape", "quote", "quoteattr", "shown", "quoted")
TRIMS = ("strip", "lstrip", "rstrip", "lower", "upper", "casefold")
EMPTY = {
    "bool": "False",
    "int": "0",
    "str": "''",
    "bytes": "b''",
    "list": "[]",
    "tuple": "()",
    "Sequence": "()",
    "Iterable": "()",
    "Iterator": "iter(())",
    "dict": "{}",
    "Mapping": "{}",
    "set": "set()",
    "frozenset": "frozenset()",
    "Fraction": "Fraction(0)",
}
"""What a function returns that has nothing to return, by the name at the head of its annotation; otherwise None."""

UNTOUCHED = {
    (ast.AnnAssign, "annotation"),
    (ast.arg, "annotation"),
    (ast.FunctionDef, "returns"),
    (ast.FunctionDef, "decorator_list"),
    (ast.ClassDef, "decorator_list"),
    (ast.ClassDef, "keywords"),
    (ast.JoinedStr, "format_spec"),
    (ast.FormattedValue, "format_spec"),
}
KEYWORDS_UNTOUCHED = ("strict", "slots", "frozen", "kw_only", "exist_ok")


class Mutant(Struct, frozen=True):
    """`path`: of its module, below the folder of the code. `place` and `variant`: where the tree is changed, and to which of several.
    `function`: the one it is in, "" for none. `lines`: what has to be reached, None for what runs when the module is imported."""

    path: str
    function: str
    operator: str
    place: int
    variant: int
    line: int
    lines: tuple[int, int] | None


class _Place(Struct, frozen=True):
    """One node, with the means of replacing it in its tree."""

    node: ast.AST
    replace: Callable[[ast.AST], None]
    function: tuple[str, ...]
    returns: ast.expr | None
    lines: tuple[int, int] | None


def mutants(path: Path, root: Path) -> list[Mutant]:
    """All mutants of one module, in the order of its text."""
    name = path.relative_to(root).as_posix()
    return [
        Mutant(name, ".".join(place.function), operator, number, variant, getattr(place.node, "lineno", 0), place.lines)
        for number, place in enumerate(_places(ast.parse(path.read_text(encoding="utf-8"))))
        for variant, (operator, _) in enumerate(_variants(place))
    ]


def mutated(source: str, mutant: Mutant) -> str:
    """The text of the module with that fault, comments and layout lost."""
    tree = ast.parse(source)
    place = next(place for number, place in enumerate(_places(tree)) if number == mutant.place)
    _, changed = list(_variants(place))[mutant.variant]
    place.replace(changed)
    return written(tree)


def written(tree: ast.Module) -> str:
    return ast.unparse(ast.fix_missing_locations(tree)) + "\n"


def names(source: str, of: Iterable[Mutant]) -> list[str]:
    """The names of some mutants of one module."""
    told = {(mutant.place, mutant.variant): mutant for mutant in of}
    functions = {
        place.function for number, place in enumerate(_places(ast.parse(source))) if number in {one for one, _ in told}
    }
    found: dict[tuple[int, int], str] = {}
    times: Counter[str] = Counter()
    for number, place in enumerate(_places(ast.parse(source))):
        if place.function in functions:
            for variant, (operator, changed) in enumerate(_variants(place)):
                change = (
                    f"{'.'.join(place.function) or 'import'} | {operator} | {_short(place.node)} -> {_short(changed)}"
                )
                times[change] += 1
                found[number, variant] = change if times[change] == 1 else f"{change} ({times[change]})"
    return [f"{module_of(mutant.path)}:{found[mutant.place, mutant.variant]}" for mutant in told.values()]


def module_of(path: str) -> str:
    return path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def _short(node: ast.AST) -> str:
    """On one line, the head only of what has a body, and what is long cut in its middle."""
    match node:
        case ast.If(test) | ast.While(test):
            text = f"if {ast.unparse(test)}"
        case ast.match_case(_, guard):
            text = f"case if {ast.unparse(guard) if guard else True}"
        case _:
            text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 160 else f"{text[:120]} ... {text[-35:]}"


# -- the places of a tree ----------------------------------------------------------------------------------------------


def _places(tree: ast.Module) -> Iterator[_Place]:
    yield from _below(tree, (), None, None)


def _below(
    node: ast.AST, function: tuple[str, ...], returns: ast.expr | None, lines: tuple[int, int] | None
) -> Iterator[_Place]:
    for name, value in ast.iter_fields(node):
        if (type(node), name) in UNTOUCHED:
            continue
        if isinstance(value, ast.AST):
            yield from _at(value, _setter(node, name), function, returns, _reach(node, name, value, function, lines))
        elif isinstance(value, list):
            for index, one in enumerate(value):
                if isinstance(one, ast.AST):
                    reach = _reach(node, name, one, function, lines)
                    yield from _at(one, _item_setter(value, index), function, returns, reach)


def _at(
    node: ast.AST,
    replace: Callable[[ast.AST], None],
    function: tuple[str, ...],
    returns: ast.expr | None,
    lines: tuple[int, int] | None,
) -> Iterator[_Place]:
    if _untouched(node):
        return
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        function = (*function, node.name)
        returns = node.returns if isinstance(node, ast.FunctionDef) else None
    else:
        yield _Place(node, replace, function, returns, lines)
    yield from _below(node, function, returns, lines)


def _untouched(node: ast.AST) -> bool:
    match node:
        case ast.Import() | ast.ImportFrom() | ast.Assert() | ast.Expr(value=ast.Constant()):
            return True
        case ast.If(test=ast.Name(id="TYPE_CHECKING")):
            return True
        case ast.keyword(arg=str(name)):
            return name in KEYWORDS_UNTOUCHED
        case ast.Call(func=ast.Name(id="cast" | "TypeVar" | "NewType")):
            return True
    return False


def _reach(
    owner: ast.AST, field: str, node: ast.AST, function: tuple[str, ...], lines: tuple[int, int] | None
) -> tuple[int, int] | None:
    """The lines of which one must run for the node to matter: those of its statement, or of the head of a compound one. Nothing that
    stands outside of functions has any; the default of an argument has those of the function."""
    if isinstance(owner, ast.FunctionDef) and field == "args":
        return (owner.body[0].lineno, owner.body[-1].end_lineno or owner.body[-1].lineno)
    if isinstance(owner, ast.ClassDef) and field == "body":
        return None
    inside = lines is not None or (isinstance(owner, ast.FunctionDef) and field == "body")
    if not inside:
        return None
    if isinstance(node, ast.stmt):
        last = node.end_lineno or node.lineno
        if isinstance(
            node, ast.If | ast.For | ast.While | ast.With | ast.Try | ast.Match | ast.FunctionDef | ast.ClassDef
        ):
            last = node.lineno
        return (node.lineno, last)
    if isinstance(owner, ast.stmt) and isinstance(node, ast.expr):
        return (node.lineno, node.end_lineno or node.lineno)
    if isinstance(node, ast.match_case):
        return (node.pattern.lineno, node.pattern.end_lineno or node.pattern.lineno)
    return lines


def _setter(owner: ast.AST, name: str) -> Callable[[ast.AST], None]:
    return lambda new: setattr(owner, name, new)


def _item_setter(items: list[ast.AST], index: int) -> Callable[[ast.AST], None]:
    return lambda new: items.__setitem__(index, new)


# -- the operators -----------------------------------------------------------------------------------------------------


def _variants(place: _Place) -> Iterator[tuple[str, ast.AST]]:
    for name, operator in OPERATORS.items():
        for changed in operator(place):
            yield name, changed


def _boundary(place: _Place) -> Iterator[ast.AST]:
    yield from _other_comparison(place.node, BOUNDARIES)


def _equality(place: _Place) -> Iterator[ast.AST]:
    yield from _other_comparison(place.node, OPPOSITES)


def _other_comparison(node: ast.AST, others: dict[type[ast.cmpop], type[ast.cmpop]]) -> Iterator[ast.AST]:
    if isinstance(node, ast.Compare):
        for index, operation in enumerate(node.ops):
            if type(operation) in others:
                operations = [*node.ops[:index], others[type(operation)](), *node.ops[index + 1 :]]
                yield ast.Compare(node.left, operations, node.comparators)


def _and_or(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.BoolOp(ast.And(), values):
            yield ast.BoolOp(ast.Or(), values)
        case ast.BoolOp(ast.Or(), values):
            yield ast.BoolOp(ast.And(), values)


def _operand(place: _Place) -> Iterator[ast.AST]:
    """One part of a condition forgotten."""
    if isinstance(place.node, ast.BoolOp) and len(place.node.values) > 1:
        for index in range(len(place.node.values)):
            rest = [*place.node.values[:index], *place.node.values[index + 1 :]]
            yield rest[0] if len(rest) == 1 else ast.BoolOp(place.node.op, rest)


def _not(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.UnaryOp(ast.Not() | ast.USub(), operand):
            yield operand


def _number(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.Constant(bool()):
            pass
        case ast.Constant(int(number)):
            yield ast.Constant(number + 1)
            yield ast.Constant(number - 1)
        case ast.Constant(float(fraction)):
            yield ast.Constant(fraction + 1)
            yield ast.Constant(fraction / 2)


def _truth(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.Constant(bool(value)):
            yield ast.Constant(not value)


def _condition(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.If(test, body, otherwise):
            yield ast.If(ast.Constant(True), body, otherwise)
            yield ast.If(ast.Constant(False), body, otherwise)
        case ast.IfExp(_, body, otherwise):
            yield body
            yield otherwise
        case ast.While(test, body, otherwise) if not isinstance(test, ast.Constant):
            yield ast.While(ast.Constant(False), body, otherwise)
        case ast.comprehension(target, source, tests, is_async) if tests:
            for index in range(len(tests)):
                yield ast.comprehension(target, source, [*tests[:index], *tests[index + 1 :]], is_async)
        case ast.match_case(pattern, ast.expr(), body):
            yield ast.match_case(pattern, None, body)
            yield ast.match_case(pattern, ast.Constant(False), body)


def _arithmetic(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.BinOp(left, operation, right) if type(operation) in ARITHMETIC:
            if place.lines is not None or not isinstance(operation, ast.BitOr):  # outside of functions `|` joins types
                yield ast.BinOp(left, ARITHMETIC[type(operation)](), right)
        case ast.AugAssign(target, operation, value) if type(operation) in ARITHMETIC:
            yield ast.AugAssign(target, ARITHMETIC[type(operation)](), value)


def _counterpart(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.Call(ast.Name(name), arguments, keywords) if name in COUNTERPARTS:
            yield ast.Call(ast.Name(COUNTERPARTS[name]), arguments, keywords)


def _order(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.Call(ast.Name("sorted"), [first, *_], _):
            yield ast.Call(ast.Name("list"), [first], [])
        case ast.Call(ast.Name("reversed"), [first], []):
            yield ast.Call(ast.Name("iter"), [first], [])
    match place.node:
        case ast.Call(ast.Name("sorted" | "min" | "max") as function, arguments, keywords):
            rest = [word for word in keywords if word.arg != "key"]
            if len(rest) < len(keywords):
                yield ast.Call(function, arguments, rest)


def _returned(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.Return(ast.expr() as value) if not (isinstance(value, ast.Constant) and value.value is None):
            head = place.returns.value if isinstance(place.returns, ast.Subscript) else place.returns
            text = EMPTY.get(head.id, "None") if isinstance(head, ast.Name) else "None"
            if text != ast.unparse(value):
                yield ast.Return(ast.parse(text, mode="eval").body)


def _escape(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.Call(ast.Name(name) | ast.Attribute(attr=name), [first, *_]) if name in ESCAPES:
            yield first


def _trim(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.Call(ast.Attribute(value, name), _) if name in TRIMS:
            yield value


def _default(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.Call(ast.Attribute(attr="get") as function, [key, _], []):
            yield ast.Call(function, [key], [])
        case ast.Call(ast.Name("min" | "max") as function, arguments, keywords):
            rest = [word for word in keywords if word.arg != "default"]
            if len(rest) < len(keywords):
                yield ast.Call(function, arguments, rest)


def _slice(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.Subscript(value, ast.Slice(lower, upper, None) as part) if lower is not None or upper is not None:
            if not (isinstance(part.lower, ast.Constant) or isinstance(part.upper, ast.Constant)):
                yield value


def _dropped(place: _Place) -> Iterator[ast.AST]:
    match place.node:
        case ast.Continue() | ast.Break() | ast.Return(None) | ast.Raise() | ast.AugAssign():
            yield ast.Pass()
        case ast.Expr(ast.Call() | ast.Yield() | ast.YieldFrom()):
            yield ast.Pass()


OPERATORS: dict[str, Callable[[_Place], Iterator[ast.AST]]] = {
    "boundary": _boundary,
    "equality": _equality,
    "and/or": _and_or,
    "operand": _operand,
    "not": _not,
    "number": _number,
    "truth": _truth,
    "condition": _condition,
    "arithmetic": _arithmetic,
    "counterpart": _counterpart,
    "order": _order,
    "returned": _returned,
    "escape": _escape,
    "trim": _trim,
    "default": _default,
    "slice": _slice,
    "dropped": _dropped,
}
