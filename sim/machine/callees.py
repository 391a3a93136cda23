"""How a kernel function is compiled that other ones call: put into its caller whole, for the constants that it is called with.

A number written in a call, or a named one of the caller's own module, is a type of its own to the compiler (a literal),
for which it compiles the called function once more: branches that cannot be taken are left out and lane counts are known, so
that a loop over lanes is vectorised before it goes into its caller.

For a single run that would be waste: nothing is vectorised, and once a function is put in, its machine code is worked over
again with all that the caller knows. There only what decides the text (SHAPE) counts as a literal, and a callee
is only made ready to be put in, by as little of the compiler as that needs. So it is with a block's functions of one lane: they
go into loops over lanes that are vectorised afterwards.
"""

import inspect
from contextlib import suppress
from functools import cache
from types import MethodType
from typing import Any

from sim import machine

LANES = "lanes"
"""Name of the argument that says for how many lanes a function is."""

LANE = "lane"
"""Name of the argument that says for which of them, of a function without a loop over lanes."""

SHAPE = (LANES, LANE, "rows", "driven", "carrying")
"""Arguments for whose values a function of a single run or of one lane is compiled by itself."""

COUNTER = "wrote"
"""Name of the argument that counts outputs: no literal to anybody, though it begins as one. A block would be compiled for none
written and then again for any number."""

CALLED: dict[str, Any] = {"forceinline": True}
"""Flags of a function that is put into its callers."""

IDLE = (
    "WithLifting", "InlineClosureLikes", "RewriteSemanticConstants", "GenericRewrites",
    "RewriteDynamicRaises", "MakeFunctionToJitFunction", "InlineInlinables", "FindLiterallyCalls", "LiteralUnroll",
    "LiteralPropagationSubPipelinePass", "InlineOverloads", "NopythonRewrites", "DumpParforDiagnostics",
)  # fmt: skip
"""Passes of the compiler that find nothing to do in a kernel function: they look for closures, `with`, whole-array
expressions and branches on types, which it does not have."""


@cache
def _pipeline() -> Any:
    """Return what compiles a function for its callers alone; the compiler is loaded only now."""
    from numba.core.compiler import CompilerBase, DefaultPassBuilder

    builder: Any = DefaultPassBuilder  # it has no types of its own

    class Callee(CompilerBase):
        """Compiles a function for its callers alone."""

        def define_pipelines(self) -> list[Any]:
            """Return the passes over its text, and make the library that its code goes into."""
            passes = builder.define_nopython_pipeline(self.state)
            with suppress(AttributeError):  # names that another version may not have: then it only takes longer
                if any(hasattr(one, "literal_value") for one in self.state.args):
                    # Python calls no function by a literal's type, and needs no way into it.
                    self.state.flags.no_cpython_wrapper = self.state.flags.no_cfunc_wrapper = True
                passes.passes = [(each, words) for each, words in passes.passes if each.__name__ not in IDLE]
                if _is_plain(dict(zip(self.state.func_id.arg_names, self.state.args, strict=True))):
                    library = self.state.targetctx.codegen().create_library(self.state.func_id.func_qualname)
                    library.enable_object_caching()
                    library._optimize_final_module = MethodType(_put_callees_in, library)
                    self.state.library = library
            passes.finalize()
            return [passes]

    return Callee


def _is_plain(types: dict[str, Any]) -> bool:
    """Tell by a function's arguments whether nothing is vectorised in it by itself."""
    return LANE in types or getattr(types.get(LANES), "literal_value", None) == 1


def _put_callees_in(library: Any) -> None:
    """Put in what the function itself calls, and no more."""
    try:
        passes, builder = library._codegen._module_pass_manager(
            loop_vectorize=False, slp_vectorize=False, opt=0, cost="cheap"
        )
        module = library._final_module
    except (AttributeError, TypeError):  # another version's
        type(library)._optimize_final_module(library)
        return
    passes.run(module, builder)


def callee(function: Any, **flags: Any) -> Any:
    """Compile a function that compiled ones alone call, and that is put into them."""
    import numba

    if machine.PLAIN:
        return numba.njit(**CALLED, **flags)(function)  # the compiler as it comes
    dispatcher: Any = numba.njit(**CALLED, **flags, pipeline_class=_pipeline())(function)
    names = list(inspect.signature(function).parameters)
    types_of: Any = numba.types
    usual_template, unliteral = dispatcher.get_call_template, types_of.unliteral

    def get_call_template(types: Any, named: Any) -> Any:
        # Any other literal would compile the same text again for a number that decides nothing.
        plain = _is_plain(dict(zip(names, types, strict=False)))
        types = [
            unliteral(one) if name == COUNTER or (plain and name not in SHAPE) else one
            for name, one in zip(names, types, strict=False)
        ]
        return usual_template(types, named)

    dispatcher.get_call_template = get_call_template
    return dispatcher
