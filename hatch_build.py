"""Build hook: the statics kernel as machine code inside the wheel, where that is asked for and possible.

Off unless the environment variable ``PLUMBHOOK_BUILD_KERNEL`` is ``1`` (for this system) or ``every`` (for every system
that the linker of the package ``ziglang`` links for, in one wheel), so that an ordinary install needs no compiler and
waits for none. Where the compile fails the wheel is built without it and says so: the kernel then runs interpreted.
"""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

SWITCH = "PLUMBHOOK_BUILD_KERNEL"
THIS_SYSTEM, EVERY_SYSTEM = "1", "every"


class KernelBuildHook(BuildHookInterface):
    """Compiles the kernel into ``plumbhook/statics/kernel/built`` of the wheel."""

    def dependencies(self) -> list[str]:
        """What the compile needs, asked for only if it is wanted."""
        if not self._wanted():
            return []
        groups = self.metadata.config["dependency-groups"]
        return list(groups["kernel"])

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Add the libraries to the wheel, or leave it out with a message."""
        if version == "editable" or not self._wanted():
            return
        folder = Path(self.directory) / "kernel"
        command = [sys.executable, "-m", "plumbhook.statics.kernel.build", str(folder)]
        if os.environ[SWITCH] == EVERY_SYSTEM:
            command.append("--every")
        environment = os.environ | {"PYTHONPATH": str(Path(self.root) / "src")}
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            self.app.display_warning(f"the wheel has no compiled kernel: {done.stderr.strip()[-500:]}")
            return
        for line in done.stdout.splitlines():
            build_data["force_include"][line] = f"plumbhook/statics/kernel/built/{Path(line).name}"
        if os.environ[SWITCH] == EVERY_SYSTEM:
            return
        build_data["pure_python"] = False
        # The libraries need no particular Python, only the system and the processor.
        build_data["tag"] = f"py3-none-{sysconfig.get_platform().replace('-', '_').replace('.', '_')}"

    @staticmethod
    def _wanted() -> bool:
        return os.environ.get(SWITCH) in (THIS_SYSTEM, EVERY_SYSTEM)
