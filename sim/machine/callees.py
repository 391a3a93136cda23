"""How a function is compiled that is put into its caller whole: with as little of the compiler as it needs.

What is done to its machine code is done again to the caller's, which is what runs, and knows more: which axle, which
values. So a callee is only made ready to be put in. And most of the compiler's passes over its text look for what a kernel
does not have: closures, `with`, whole-array expressions, branches on types.
"""

from contextlib import suppress
from types import MethodType
from typing import Any

import numba
from numba.core.compiler import CompilerBase, DefaultPassBuilder

from sim.machine.jit import FLAGS

CALLED: dict[str, Any] = {"forceinline": True, "no_cpython_wrapper": True, "no_cfunc_wrapper": True}
"""Flags of a function that plain Python does not call."""

IDLE = (
    "WithLifting", "InlineClosureLikes", "RewriteSemanticConstants", "DeadBranchPrune", "GenericRewrites",
    "RewriteDynamicRaises", "MakeFunctionToJitFunction", "InlineInlinables", "FindLiterallyCalls", "LiteralUnroll",
    "LiteralPropagationSubPipelinePass", "InlineOverloads", "NopythonRewrites", "DumpParforDiagnostics",
)  # fmt: skip
"""Passes of the compiler that find nothing to do in a kernel function."""


class Callee(CompilerBase):
    """Compiles a function for its callers alone."""

    def define_pipelines(self) -> list[Any]:
        """Return the passes over its text, and make the library that its code goes into."""
        passes = DefaultPassBuilder.define_nopython_pipeline(self.state)
        with suppress(AttributeError):  # names that another version may not have: then it only takes longer
            passes.passes = [(each, words) for each, words in passes.passes if each.__name__ not in IDLE]
            library = self.state.targetctx.codegen().create_library(self.state.func_id.func_qualname)
            library.enable_object_caching()
            library._optimize_final_module = MethodType(_put_callees_in, library)
            self.state.library = library
        passes.finalize()
        return [passes]


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


def callee(function: Any) -> Any:
    """Compile a function that compiled ones alone call, and that is put into them."""
    return numba.njit(**CALLED, **FLAGS, pipeline_class=Callee)(function)
