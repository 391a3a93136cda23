"""From a report to one file: templates filled in, scripts and styles put into it, and a policy that allows those alone."""

import re
from base64 import b64encode
from functools import cache
from hashlib import sha256
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from sim.show.pages.report.parts import Motion, Pictures, Report, Simulator
from sim.show.pages.report.static import STATIC
from sim.show.pages.report.units import cell, in_both

HERE = Path(__file__).parent

STYLES = ("report.css", "truck.css")
SCRIPTS = ("attributes.js", "hill.js", "placed.js", "push.js", "shown.js", "truck.js", "sideways.js", "report.js")
TRIED_STYLES, TRIED_SCRIPTS = ("uplot.css", "simulator.css"), ("uplot.js", "kernel.js", "tried.js", "simulator.js")
"""What the simulator needs besides."""


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(HERE / "templates"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    environment.filters |= {"units": in_both, "cell": cell}
    return environment


def read_templates() -> None:
    """Read all templates, which takes half of the time of filling them in: for whoever waits for pictures meanwhile."""
    environment = _environment()
    for name in environment.list_templates(extensions=["html"]):
        environment.get_template(name)


def rendered(report: Report) -> str:
    """Return a report as one HTML file, in which a system of units is chosen that can be changed on the page."""
    tried = any(isinstance(section, Simulator) for section in report.sections)
    styles = (*STYLES, *TRIED_STYLES) if tried else STYLES
    style = "\n".join((STATIC / name).read_text(encoding="utf-8") for name in styles)
    # Without anything that moves or can be pointed at there is nothing for a script to do.
    moves = any(isinstance(section, Motion | Pictures) for section in report.sections)
    script = bundled(*SCRIPTS, *(TRIED_SCRIPTS if tried else ())) if moves or tried else ""
    # The kernel is code of another kind, which a policy names by itself.
    compiles = " 'wasm-unsafe-eval'" if tried else ""
    policy = (
        "default-src 'none'; "
        f"style-src '{_hash(style)}'; script-src {_quoted(script)}{compiles}; img-src data:; base-uri 'none'; form-action 'none'"
    )
    return _environment().get_template("report.html").render(
        report=report, policy=policy, style=Markup(style), script=Markup(script),
    )  # fmt: skip


def write(report: Report, path: Path) -> None:
    """Write a report."""
    path.write_text(rendered(report), encoding="utf-8", newline="\n")


def bundled(*names: str) -> str:
    """Return modules as one script: a page that is opened from a disk can load no others."""
    texts = []
    for name in names:
        text = (STATIC / name).read_text(encoding="utf-8")
        text = re.sub(r"^import .*?;\n", "", text, flags=re.MULTILINE)
        texts.append(re.sub(r"^export ", "", text, flags=re.MULTILINE))
    return "\n".join(texts)


def _quoted(script: str) -> str:
    return f"'{_hash(script)}'" if script else "'none'"


def _hash(text: str) -> str:
    """Return what a policy calls a script or a style by (Content Security Policy Level 3, W3C)."""
    return "sha256-" + b64encode(sha256(text.encode()).digest()).decode()
