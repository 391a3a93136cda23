"""Puts the demo into the wheel, as sim/demo: it lies beside the package, where people look for it in a clone."""

import shutil
from pathlib import Path

from setuptools import setup
from setuptools.command.build_py import build_py


class WithDemo(build_py):
    """Builds the package with the demo in it."""

    def run(self) -> None:
        """Build, then copy."""
        super().run()
        if not self.editable_mode:
            target = Path(self.build_lib) / "sim" / "demo"
            shutil.rmtree(target, ignore_errors=True)
            shutil.copytree(Path(__file__).parent / "scenarios", target)


setup(cmdclass={"build_py": WithDemo})
