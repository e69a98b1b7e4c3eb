"""Machine code of the kernel from its LLVM text, and machine code into memory: needs ``llvmlite``."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Any

import llvmlite.binding as llvm

from plumbhook.statics.kernel.levels import Target, here


@cache
def _prepare() -> None:
    llvm.initialize_all_targets()
    llvm.initialize_all_asmprinters()


def _triple(target: Target) -> str:
    """The compiler's own word for the system that it runs on, else the usual one."""
    is_here = (target.system, target.machine) == (here().system, here().machine)
    return str(llvm.get_default_triple()) if is_here else target.triple


def _machine(target: Target) -> Any:  # noqa: ANN401 - llvmlite is not typed
    _prepare()
    return llvm.Target.from_triple(_triple(target)).create_target_machine(
        cpu=target.cpu, features="", opt=3, reloc="pic", codemodel="default"
    )


def object_code(text: str, target: Target) -> bytes:
    """An object file.

    Args:
        text: LLVM text of the kernel.
        target: what it is for, this system or another.
    """
    machine = _machine(target)
    module = llvm.parse_assembly(text)
    module.triple = _triple(target)
    module.data_layout = str(machine.target_data)
    module.verify()
    tuning = llvm.create_pipeline_tuning_options(speed_level=3)
    tuning.loop_vectorization = tuning.slp_vectorization = tuning.loop_unrolling = True
    llvm.create_pass_builder(machine, tuning).getModulePassManager().run(
        module, llvm.create_pass_builder(machine, tuning)
    )
    return bytes(machine.emit_object(module))


@dataclass(slots=True)
class Loaded:
    """An object file in memory; its functions live as long as this."""

    code: bytes
    _engine: Any = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._engine = llvm.create_mcjit_compiler(llvm.parse_assembly(""), _machine(here()))
        self._engine.add_object_file(llvm.ObjectFileRef.from_data(self.code))
        self._engine.finalize_object()

    def address(self, name: str) -> int:
        """Address of a function; 0 if there is none of that name."""
        return int(self._engine.get_function_address(name))
