"""Machine code of the kernel from its LLVM text, and machine code into memory: needs ``llvmlite``."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import llvmlite.binding as llvm

from plumbhook.statics.kernel.levels import llvm_cpu

_ready: list[bool] = []


def _prepare() -> None:
    if not _ready:
        llvm.initialize_native_target()
        llvm.initialize_native_asmprinter()
        _ready.append(True)


def _machine(level: str) -> Any:  # noqa: ANN401 - llvmlite is not typed
    _prepare()
    target = llvm.Target.from_default_triple()
    return target.create_target_machine(
        cpu=llvm_cpu(level), features="", opt=3, reloc="pic", codemodel="default"
    )


def object_code(text: str, level: str) -> bytes:
    """An object file for this system.

    Args:
        text: LLVM text of the kernel.
        level: level of the processor (:mod:`plumbhook.statics.kernel.levels`).
    """
    machine = _machine(level)
    module = llvm.parse_assembly(text)
    module.triple = llvm.get_default_triple()
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
    level: str
    _engine: Any = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._engine = llvm.create_mcjit_compiler(llvm.parse_assembly(""), _machine(self.level))
        self._engine.add_object_file(llvm.ObjectFileRef.from_data(self.code))
        self._engine.finalize_object()

    def address(self, name: str) -> int:
        """Address of a function; 0 if there is none of that name."""
        return int(self._engine.get_function_address(name))
