"""The kernel's own text without its compiler: to count what it does, and to hand it to other array libraries."""

import ast
import inspect
import textwrap
from collections.abc import Callable
from types import FunctionType
from typing import Any


def copied(function: Callable[..., Any], name: Any, wrap: Any, known: dict[Any, Any]) -> Any:
    """Return a plain Python copy of a kernel function and of all that it calls.

    name : mapping of global names to what stands for them (sqrt); wrap(function) : what is put around each copy.
    """
    original = getattr(function, "py_func", function)
    if original not in known:
        own = dict(original.__globals__)
        for called in original.__code__.co_names:
            if called in name:
                own[called] = name[called]
            elif hasattr(own.get(called), "py_func"):
                own[called] = copied(own[called], name, wrap, known)
        made = FunctionType(original.__code__, own, original.__name__, original.__defaults__, original.__closure__)
        known[original] = wrap(made)
    return known[original]


class _Selects(ast.NodeTransformer):
    """Writes `a if test else b` as a call of select with both as functions: a traced array has no truth yet."""

    def visit_IfExp(self, node: ast.IfExp) -> ast.AST:
        self.generic_visit(node)
        none = ast.arguments([], [], None, [], [], None, [])
        sides = [ast.Lambda(none, side) for side in (node.body, node.orelse)]
        call = ast.Call(ast.Name("select", ast.Load()), [node.test, *sides], [])
        return ast.copy_location(call, node)


def traceable(function: Callable[..., Any], name: Any, known: dict[Any, Any]) -> Any:
    """Return the same with every conditional expression written as a call of select (given in name)."""
    original = getattr(function, "py_func", function)
    if original not in known:
        own = dict(original.__globals__) | name
        for called in original.__code__.co_names:
            if called not in name and hasattr(own.get(called), "py_func"):
                own[called] = traceable(own[called], name, known)
        tree = ast.parse(textwrap.dedent(inspect.getsource(original)))
        definition = tree.body[0]
        assert isinstance(definition, ast.FunctionDef)
        definition.decorator_list = []
        exec(compile(ast.fix_missing_locations(_Selects().visit(tree)), original.__code__.co_filename, "exec"), own)
        known[original] = own[original.__name__]
    return known[original]
