"""Where templates run: Jinja's sandbox, with a budget for those that did not come with this program.

A template reads a page object and prints. It reaches nothing that is not a value on the page, changes nothing and calls nothing but
macros, blocks and a few words of its language. A template of somebody's own also spends from a budget, which is the same on every
machine and every day: each turn of a loop costs STEP, each call CALL, everything printed or joined costs the bytes it takes in memory.

Refused    in a bounded template, where it is written: what could grow without printing (lists and groups made up in the template, powers),
           what turns records' text into HTML (`safe`, `autoescape`), filters and tests that are not in the lists below.
Why        a page is printed by the breeder's own machine, with the private records in the same process, from a theme that somebody else may
           have written.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from functools import cache
from typing import Any

from jinja2 import Undefined, nodes, pass_context
from jinja2.exceptions import SecurityError, TemplateRuntimeError, TemplateSyntaxError
from jinja2.runtime import BlockReference, Context, LoopContext, Macro
from jinja2.sandbox import MAX_RANGE, ImmutableSandboxedEnvironment
from jinja2.tests import TESTS
from jinja2.utils import Namespace
from jinja2.visitor import NodeTransformer
from markupsafe import Markup
from msgspec import Struct

OPTIONS = {"autoescape": True, "trim_blocks": True, "lstrip_blocks": True, "keep_trailing_newline": True}

BUDGET = 100_000_000
"""What one page may cost."""
STEP = 50
CALL = 250
EACH = 16
"""What each item of a list costs that a filter makes."""
LARGEST = 2**53

OF_WORDS = ("capitalize", "escape", "e", "lower", "replace", "title", "trim", "upper")
OF_LISTS = (
    "count",
    "first",
    "last",
    "length",
    "list",
    "map",
    "reject",
    "rejectattr",
    "reverse",
    "select",
    "selectattr",
)
USED_TESTS = ("boolean", "defined", "false", "none", "number", "string", "true", "undefined")
_METHODS = ("capitalize", "cycle", "endswith", "lower", "lstrip", "rstrip", "startswith", "strip", "title", "upper")
_NOT_TO_READ = ("draw", "given")
"""How a drawing is made; a template prints it."""
_WORD, _GROWN, _SEARCHED = "word:", "joined:", "searched:"
"""Filters that no template can name: they stand round what must be a word, what was joined, what is looked through."""


class BudgetError(TemplateRuntimeError):
    """A template that would not end, or not end in time."""


@cache
def _fields(kind: Any) -> frozenset[str]:
    """The fields of a piece of a page, which nearly every expression of a template reads."""
    ours = issubclass(kind, Struct) and kind.__module__.startswith(("clutchlight.site.", "clutchlight.desk."))
    return frozenset(kind.__struct_fields__).difference(_NOT_TO_READ) if ours else frozenset()


class Sandbox(ImmutableSandboxedEnvironment):
    """Jinja's sandbox for page objects."""

    def getattr(self, obj: Any, attribute: str) -> Any:
        if attribute in _fields(obj.__class__):
            return getattr(obj, attribute)
        return super().getattr(obj, attribute)

    def is_safe_attribute(self, obj: Any, attr: str, value: Any) -> bool:
        return super().is_safe_attribute(obj, attr, value) and attr not in _NOT_TO_READ

    def is_safe_callable(self, obj: Any) -> bool:
        if isinstance(obj, (Macro, BlockReference, LoopContext)) or obj in (counting, Namespace):
            return True
        owner = getattr(obj, "__self__", None)
        return isinstance(owner, (str, LoopContext)) and getattr(obj, "__name__", "") in _METHODS

    def call(self, context: Context, obj: Any, /, *arguments: Any, **named: Any) -> Any:
        if not self.is_safe_callable(obj):
            name = getattr(obj, "__name__", type(obj).__name__)
            raise SecurityError(
                f"a template calls macros, blocks and a few words of its language; '{name}' is none of them"
            )
        return context.call(obj, *arguments, **named)


class BoundedSandbox(Sandbox):
    """The same with a budget for each page, which `begin` gives."""

    intercepted_binops = frozenset(ImmutableSandboxedEnvironment.default_binop_table)

    def __init__(self, **options: Any) -> None:
        super().__init__(finalize=self._printed, **options)
        self._left = BUDGET
        self._stock = ImmutableSandboxedEnvironment(autoescape=True)
        self.globals = {"range": counting, "namespace": Namespace}
        self.filters = {
            **{name: self._of_words(name) for name in OF_WORDS},
            **{name: self._of_lists(name) for name in OF_LISTS},
            **{name: self._stock.filters[name] for name in ("default", "d")},
            "join": self._joining(),
            _WORD: _word,
            _GROWN: self._printed,
            _SEARCHED: self._searched,
        }
        self.tests = {
            **{name: TESTS[name] for name in USED_TESTS},
            **dict.fromkeys(("==", "eq", "equalto"), lambda one, other: _word(one) == _word(other)),
            **dict.fromkeys(("!=", "ne"), lambda one, other: _word(one) != _word(other)),
            "odd": lambda number: _number(number) % 2 == 1,
            "even": lambda number: _number(number) % 2 == 0,
        }

    def begin(self) -> None:
        self._left = BUDGET

    def spend(self, cost: int) -> bool:
        """True, so that it can stand before a condition."""
        self._left -= cost
        if self._left < 0:
            raise BudgetError(
                "it repeats or prints more than any page holds; look for a loop that is too long, or a macro that calls itself"
            )
        return True

    def _generate(self, source: nodes.Template, *arguments: Any, **more: Any) -> str:
        name, filename = arguments
        for line, words in _refused(source):
            raise TemplateSyntaxError(words, line, name, filename)
        _Bounding().visit(source)
        source.set_environment(self)
        return super()._generate(source, name, filename, **more)

    def call(self, context: Context, obj: Any, /, *arguments: Any, **named: Any) -> Any:
        if obj == self.spend:
            return self.spend(*arguments)
        self.spend(CALL)
        return super().call(context, obj, *arguments, **named)

    def call_binop(self, context: Context, operator: str, left: Any, right: Any) -> Any:
        result = super().call_binop(context, operator, _number(left), _number(right))
        if abs(result) > LARGEST:
            raise SecurityError(f"a number in a template is at most {LARGEST}")
        return result

    def getitem(self, obj: Any, argument: Any) -> Any:
        if isinstance(argument, slice):
            self.spend(_size(obj))
        elif not isinstance(argument, (str, int)):
            raise SecurityError("what stands in [ ] must be a word or a number")
        return super().getitem(obj, argument)

    def _printed(self, value: Any) -> Any:
        if not isinstance(value, str) and hasattr(value, "__html__"):
            value = Markup(value.__html__())  # noqa: S704 - a drawing by this program
        self.spend(_size(_word(value)))
        return value

    def _searched(self, value: Any) -> Any:
        self.spend(_size(value))
        return value

    def _joining(self) -> Callable[..., Any]:
        @pass_context
        def join(context: Context, items: Iterable[Any], between: str = "", attribute: str | None = None) -> Any:
            found = [_word(item if attribute is None else self._of(item, attribute)) for item in items]
            self.spend(STEP + sum(map(_size, found)) + len(found) * _size(_word(between)))
            return self._stock.call_filter("join", found, (between,), {}, context, context.eval_ctx)

        return join

    def _of(self, item: Any, attribute: str) -> Any:
        for part in attribute.split("."):
            item = self.getitem(item, part)
        return item

    def _of_words(self, name: str) -> Callable[..., Any]:
        @pass_context
        def filtered(context: Context, value: Any, *arguments: Any, **named: Any) -> Any:
            words = [_word(one) for one in (value, *arguments, *named.values())]
            self.spend(STEP + 6 * _size(value))  # HTML takes up to six letters for one
            if name == "replace" and len(words) > 2:
                self.spend(str(value).count(str(words[1])) * _size(words[2]))
            return self._stock.call_filter(name, value, arguments, named, context, context.eval_ctx)

        return filtered

    def _of_lists(self, name: str) -> Callable[..., Any]:
        @pass_context
        def filtered(context: Context, value: Any, *arguments: Any, **named: Any) -> Any:
            self.spend(STEP + EACH * _length(value))
            result = self._stock.call_filter(name, value, arguments, named, context, context.eval_ctx)
            return result if isinstance(result, (str, int)) or _length(result) else list(result)

        return filtered


def counting(*numbers: int) -> range:
    """`range` in templates."""
    found = range(*numbers)
    if found[:MAX_RANGE] != found:
        raise BudgetError(f"a range has at most {MAX_RANGE} numbers; loop over what the page has")
    return found


def _word(value: Any) -> Any:
    if isinstance(value, (str, int, float, Undefined)) or value is None or hasattr(value, "__html__"):
        return value
    raise SecurityError("only words and numbers are printed, joined and compared; take what is in it")


def _number(value: Any) -> Any:
    if isinstance(value, (int, float, Undefined)):
        return value
    raise SecurityError("a template reckons with numbers only; words stand side by side with ~")


def _length(value: Any) -> int:
    return len(value) if hasattr(value, "__len__") else 1


def _size(value: Any) -> int:
    """What a value takes in memory."""
    return sys.getsizeof(value) if isinstance(value, str) else STEP + EACH * _length(value)


def _refused(template: nodes.Template) -> Iterable[tuple[int, str]]:
    """What a bounded template must not hold, with its line."""
    behind_in = (
        *(loop.iter for loop in template.find_all(nodes.For)),
        *(include.template for include in template.find_all(nodes.Include)),
        *(operand.expr for operand in template.find_all(nodes.Operand) if operand.op in ("in", "notin")),
    )
    lists = set[int]().union(*map(_literals, behind_in))
    for literal in template.find_all((nodes.Tuple, nodes.List)):
        if getattr(literal, "ctx", "load") == "load" and id(literal) not in lists:
            yield literal.lineno, "a list can stand behind `in` only; take the lists that the page has"
    for node in template.find_all((nodes.Dict, nodes.Pow, nodes.EvalContextModifier)):
        yield node.lineno, _WRONG[type(node)]
    for name in template.find_all(nodes.Name):
        if name.name in ("varargs", "kwargs"):
            yield name.lineno, f"a macro takes what its head names; leave out '{name.name}'"
    for call in template.find_all((nodes.Call, nodes.CallBlock, nodes.Filter, nodes.Test)):
        if getattr(call, "dyn_args", None) is not None or getattr(call, "dyn_kwargs", None) is not None:
            yield call.lineno, "write out what is handed over, without a star"


_WRONG = {
    nodes.Dict: "a template makes no groups of its own; take those that the page has",
    nodes.Pow: "a template reckons with + - * / only",
    nodes.EvalContextModifier: "what is printed is always escaped, so that a record's text stays text; leave out `autoescape`",
    nodes.ScopedEvalContextModifier: "what is printed is always escaped, so that a record's text stays text; leave out `autoescape`",
}


def _literals(node: nodes.Node) -> set[int]:
    """A list that is written out, and those in it."""
    if not isinstance(node, (nodes.Tuple, nodes.List)):
        return set()
    return {id(node)}.union(*(_literals(item) for item in node.items))


class _Bounding(NodeTransformer):
    """Has every turn, macro, block and template pay for itself, and checks what is joined and compared."""

    def visit_For(self, node: nodes.For) -> Any:  # noqa: N802 - so the library calls it
        if node.test is not None:
            node.test = nodes.And(_payment(STEP), node.test)
        return self._paying(node)

    def _paying(self, node: Any) -> Any:
        self.generic_visit(node)
        node.body.insert(0, nodes.ExprStmt(_payment(STEP + sum(map(_data, node.body)))))
        return node

    visit_Template = visit_Block = visit_Macro = visit_CallBlock = _paying  # noqa: N815

    def visit_Concat(self, node: nodes.Concat) -> nodes.Node:  # noqa: N802
        self.generic_visit(node)
        node.nodes = [_through(_WORD, item) for item in node.nodes]
        return _through(_GROWN, node)

    def visit_Compare(self, node: nodes.Compare) -> nodes.Node:  # noqa: N802
        self.generic_visit(node)
        node.expr = _through(_WORD, node.expr)
        for operand in node.ops:
            operand.expr = _through(_SEARCHED if operand.op in ("in", "notin") else _WORD, operand.expr)
        return node


def _payment(cost: int) -> nodes.Call:
    return nodes.Call(nodes.EnvironmentAttribute("spend"), [nodes.Const(cost)], [], None, None)


def _through(name: str, node: nodes.Expr) -> nodes.Expr:
    return nodes.Filter(node, name, [], [], None, None, lineno=node.lineno)


def _data(node: nodes.Node) -> int:
    """The letters of HTML that a piece prints once, without those that pay for themselves."""
    if isinstance(node, nodes.TemplateData):
        return len(node.data)
    if isinstance(node, (nodes.For, nodes.Block, nodes.Macro, nodes.CallBlock)):
        return 0
    return sum(map(_data, node.iter_child_nodes()))
