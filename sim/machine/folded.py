"""Works out what is known of the kernel's text before it is compiled: rows, lane counts, and what a run leaves out.

The kernel is written once, for any lane count, either axle, driven or not. Numba would carry every row's name, product and
branch through its typing, which takes several times as long as making machine code of what is left. So constants are put
in here first: sums of them made, branches that cannot be taken dropped, loops over a single lane opened; a function that is
called with constants is copied for them. Of a single run, only for what decides its text (SHAPE).
"""

import ast
import inspect
import operator
import textwrap
from collections import Counter
from collections.abc import Callable
from types import FunctionType, ModuleType
from typing import Any

from sim import machine
from sim.machine.jit import FLAGS, SINGLE, compiled

if machine.COMPILES:
    import numba

    from sim.machine.callees import CALLED, callee

SHAPE = ("lanes", "lane", "rows", "driven", "carrying")
"""Arguments for whose values a function of a single run is copied.

The others that are known, such as the axle, it is given as it runs: once it is put into its caller, the machine code is as
good, and one text is compiled where there were two or more. A block's functions are vectorised before that, and need all.
"""

KNOWN = (bool, int, float)
ACTS: dict[type, Callable[..., Any]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.FloorDiv: operator.floordiv,
    ast.Mod: operator.mod, ast.Eq: operator.eq, ast.NotEq: operator.ne, ast.Lt: operator.lt, ast.LtE: operator.le,
    ast.Gt: operator.gt, ast.GtE: operator.ge,
}  # fmt: skip
WHOLE = "int64"
"""What the compiler's own whole number is called in folded text."""

NOTHING = ((ast.Mult, 1), (ast.Add, 0))
"""What changes nothing, of whole numbers."""


def compiled_folded(function: Callable[..., Any], further: Callable[[Any], Any] | None = None) -> Any:
    """Compile a kernel function as `compiled` does, folded, and then put through `further`.

    Only when it is not found in the cache, as that takes a while: its own text and name are the key.
    """
    made: Any = compiled(function)
    if hasattr(made, "_compiler"):  # not so if compiling is switched off
        made._compiler._get_implementation = lambda *_: further(folded(function)) if further else folded(function)
    return made


def folded(function: Callable[..., Any]) -> Any:
    """Return a kernel function, not compiled, with what is known put in; its `blocked` callees are copies of their own.

    Those are for compiled callers alone: what plain Python would call them by is left out, which saves time.
    """
    return _folded(function, {}, {})


def _folded(function: Callable[..., Any], known: dict[str, Any], copies: dict[Any, Any]) -> Any:
    source = textwrap.dedent(inspect.getsource(function))
    tree = ast.parse(source)
    text = tree.body[0]
    assert isinstance(text, ast.FunctionDef)
    text.decorator_list = []
    text.args.args = [a for a in text.args.args if a.arg not in known]
    around = {**function.__globals__, WHOLE: numba.int64}
    values = {**inspect.getclosurevars(function).nonlocals, **known}
    for last in (False, False, True):  # a branch dropped leaves names that are set once, and so are known
        stored = Counter(n.id for n in ast.walk(text) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store))
        assert not known.keys() & stored.keys(), "an argument that is known must stay what it is"
        stored.update(a.arg for a in text.args.args)
        _count_once(text, stored)
        text = _Fold(around, values, stored, copies if last else None).visit(text)
    ast.increment_lineno(tree, function.__code__.co_firstlineno - 1)
    exec(compile(ast.fix_missing_locations(tree), function.__code__.co_filename, "exec"), around)
    made: FunctionType = around[text.name]
    made.__module__ = function.__module__
    return made


def _count_once(text: ast.AST, stored: Counter[str]) -> None:
    """Let a name that is set to the same constant each time, as a single lane's number is, count as set once."""
    given: dict[str, list[tuple[type, Any]]] = {}
    for node in ast.walk(text):
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant) and _is_known(node.value):
            for name in node.targets if len(node.targets) == 1 else ():
                if isinstance(name, ast.Name):
                    given.setdefault(name.id, []).append((type(node.value.value), node.value.value))
    for word, values in given.items():
        if len(values) == stored[word] and len(set(values)) == 1:
            stored[word] = 1


def _as_value(node: ast.expr) -> ast.expr:
    """Return a whole number or a truth so that the compiler takes it as a value and not as a type of its own.

    For which it would compile once more what is called with it.
    """
    kind = type(node.value) if isinstance(node, ast.Constant) else None
    if kind is not bool and kind is not int:
        return node
    of = ast.Constant(int(node.value))  # type: ignore[attr-defined]
    return ast.copy_location(ast.Call(ast.Name("bool" if kind is bool else WHOLE, ast.Load()), [of], []), node)


def _is_known(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and type(node.value) in KNOWN


class _Fold(ast.NodeTransformer):
    def __init__(
        self, around: dict[str, Any], values: dict[str, Any], stored: Counter[str], copies: dict[Any, Any] | None
    ):
        # Copies are made last, when all is known; until then there are none to keep.
        self.around, self.values, self.stored, self.copies = around, values, stored, copies

    def visit_Name(self, node: ast.Name) -> ast.AST:
        if not isinstance(node.ctx, ast.Load):
            return node
        value = self.values.get(node.id)
        if value is None and not self.stored[node.id]:
            value = self.around.get(node.id)
        return ast.copy_location(ast.Constant(value), node) if type(value) in KNOWN else node

    def visit_Attribute(self, node: ast.Attribute) -> ast.AST:
        module = self.around.get(node.value.id) if isinstance(node.value, ast.Name) else None
        value = getattr(module, node.attr, None) if isinstance(module, ModuleType) else None
        return ast.copy_location(ast.Constant(value), node) if type(value) in KNOWN else node

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        self.generic_visit(node)
        act = ACTS.get(type(node.op))
        if act and isinstance(node.left, ast.Constant) and isinstance(node.right, ast.Constant):
            return ast.copy_location(ast.Constant(act(node.left.value, node.right.value)), node)
        right = node.right.value if isinstance(node.right, ast.Constant) else None
        return node.left if type(right) is int and (type(node.op), right) in NOTHING else node

    def visit_Compare(self, node: ast.Compare) -> ast.AST:
        self.generic_visit(node)
        act = ACTS.get(type(node.ops[0]))
        if act and isinstance(node.left, ast.Constant) and isinstance(node.comparators[0], ast.Constant):
            return ast.copy_location(ast.Constant(act(node.left.value, node.comparators[0].value)), node)
        return node

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        self.generic_visit(node)
        if isinstance(node.op, ast.Not) and _is_known(node.operand):
            return ast.copy_location(ast.Constant(not node.operand.value), node)  # type: ignore[attr-defined]
        return node

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        self.generic_visit(node)
        decides = isinstance(node.op, ast.Or)
        for value in node.values:
            if isinstance(value, ast.Constant) and bool(value.value) is decides:
                return ast.copy_location(ast.Constant(decides), node)
        node.values = [value for value in node.values if not _is_known(value)]
        if not node.values:
            return ast.copy_location(ast.Constant(not decides), node)
        return node if len(node.values) > 1 else node.values[0]

    def visit_If(self, node: ast.If) -> Any:
        node.test = self.visit(node.test)
        if isinstance(node.test, ast.Constant):
            taken = ast.If(node.test, (node.body if node.test.value else node.orelse) or [ast.Pass()], [])
            self.generic_visit(taken)
            return taken.body
        return self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> ast.AST:
        self.generic_visit(node)
        if isinstance(node.test, ast.Constant):
            return node.body if node.test.value else node.orelse
        return node

    def visit_For(self, node: ast.For) -> Any:
        self.generic_visit(node)
        of = node.iter
        if isinstance(of, ast.Call) and isinstance(of.func, ast.Name) and of.func.id == "range" and len(of.args) == 1:
            times = of.args[0]
            if isinstance(times, ast.Constant) and times.value == 1 and isinstance(node.target, ast.Name):
                start = ast.Assign([node.target], ast.Constant(0), lineno=node.lineno, col_offset=0)
                return [start, *node.body]
        return node

    def visit_Assign(self, node: ast.Assign) -> Any:
        self.generic_visit(node)
        target = node.targets[0]
        if (
            len(node.targets) == 1
            and isinstance(target, ast.Name)
            and self.stored[target.id] == 1
            and _is_known(node.value)
        ):
            self.values[target.id] = node.value.value  # type: ignore[attr-defined]
            return ast.Pass()
        if self.copies is not None:
            node.value = _as_value(node.value)
        return node

    def visit_Call(self, node: ast.Call) -> ast.AST:
        self.generic_visit(node)
        name = node.func.id if isinstance(node.func, ast.Name) else ""
        called: Any = self.around.get(name)
        options = getattr(called, "targetoptions", {})
        copied = "forceinline" in options or options.get("fastmath") != FLAGS["fastmath"]
        if self.copies is None or copied or not hasattr(called, "py_func"):
            return node
        names = inspect.getfullargspec(called.py_func).args
        given = dict(zip(names, node.args, strict=True))
        known = {
            argument: a.value for argument, a in given.items() if isinstance(a, ast.Constant) and type(a.value) in KNOWN
        }
        single = known.get("lanes", self.values.get("lanes")) == SINGLE
        if single:
            known = {argument: value for argument, value in known.items() if argument in SHAPE}
        elif options.get("inline") != "always":
            return node
        key = (called, single, tuple((argument, type(value), value) for argument, value in known.items()))
        if key not in self.copies:
            made = _folded(called.py_func, known, self.copies)
            make = callee if single else numba.njit(**CALLED, **FLAGS)
            self.copies[key] = make(made), f"{name}_{len(self.copies)}"
        self.around[self.copies[key][1]] = self.copies[key][0]
        node.func = ast.copy_location(ast.Name(self.copies[key][1], ast.Load()), node.func)
        node.args = [_as_value(a) for argument, a in given.items() if argument not in known]
        return node
