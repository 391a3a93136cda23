"""Builds the pages as a site: the Markdown of this folder as it is, the public names of `sim` from their docstrings, and a gallery of all scenarios.

`python docs/build_site.py [--only NAME]` writes build/site (the extra `docs`: mkdocs, and mkdocstrings, which reads numpy's docstrings). The
gallery's questions and commands are those of the README's table, its pictures those that these commands draw now; a link that leads
nowhere stops the build.
"""

import argparse
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
QUESTION = re.compile(r"^\| (?P<question>[^|]+?) \| `jounce (?P<command>[^`]+)` \| (?P<look>[^|]+?) \|$", re.MULTILINE)
PICTURE = re.compile(r"`([\w…]+)\.png`")

SETTINGS = """
site_name: jounce
docs_dir: {docs}
site_dir: {site}
use_directory_urls: false
theme: {{name: readthedocs, highlightjs: false}}
exclude_docs: "*.py"
markdown_extensions: [tables, fenced_code, toc]
plugins:
  - search
  - mkdocstrings:
      handlers:
        python:
          paths: [{root}]
          options: {{docstring_style: numpy, show_source: false, show_root_heading: true, heading_level: 2, members_order: source, separate_signature: true}}
nav:
  - Pages: README.md
  - Gallery: gallery.md
  - From Python: python.md
  - Public names: api.md
validation: {{links: {{not_found: warn, anchors: warn, absolute_links: warn}}, omitted_files: ignore}}
"""


def rows() -> list[re.Match[str]]:
    """Return the README's rows of questions, each with its command and what to look at."""
    return list(QUESTION.finditer((ROOT / "README.md").read_text(encoding="utf-8")))


def gallery(only: list[str], source: Path) -> str:
    """Run the README's commands into the site's folder; return the page with a picture and the words of each."""
    lines = [
        "# Gallery\n",
        "Every question of the demo: the command, what it draws, and the file that asks it. Figures are of an invented truck.\n",
    ]
    for number, row in enumerate(rows()):
        words = shlex.split(row["command"])
        file = next(word for word in words if word.startswith("scenarios/"))
        name = Path(file).stem
        lines += [f"## {row['question']}\n", f"```sh\njounce {row['command']}\n```\n"]
        if not only or name in only:
            lines += drawn(words, row["look"], source / "gallery" / f"{number}_{name}")
        text = (ROOT / file).read_text(encoding="utf-8")
        comment = " ".join(line.lstrip("# ") for line in text.splitlines() if line.startswith("#"))
        lines += [f"{comment}\n"] if comment else []
        lines += [f"`{file}`:\n\n```yaml\n{text.strip()}\n```\n"]
    return "\n".join(lines)


def drawn(words: list[str], look: str, into: Path) -> list[str]:
    """Run one command; return its picture and what is to be looked at in it.

    Raises
    ------
    SystemExit
        If the command fails: a gallery of what does not run is none.
    """
    if words[0] in ("loads", "lift"):  # they draw nothing: what they print is what is looked at
        said = subprocess.run(
            [sys.executable, "-m", "sim", *words], cwd=ROOT, capture_output=True, text=True, check=True
        )
        return [f"```\n{said.stdout.rstrip()}\n```\n"]
    option = ["--picture", str(into)] if words[0] == "stand" else ["--outputs", str(into)]
    plain = words[: words.index("--picture")] if "--picture" in words else words
    done = subprocess.run(
        [sys.executable, "-m", "sim", *plain, *option, "--quiet"], cwd=ROOT, capture_output=True, text=True
    )
    if done.returncode not in (0, 3):
        raise SystemExit(f"jounce {' '.join(words)}:\n{done.stderr}")
    pictures = {path.stem: path for path in sorted(into.rglob("*.png"))}
    wanted = [stem for one in PICTURE.findall(look) for stem in pictures if stem.endswith(one.lstrip("…"))]
    chosen = pictures[(wanted or [stem for stem in ("verdict", *pictures) if stem in pictures])[0]]
    kept = into.with_suffix(".png")
    shutil.copyfile(chosen, kept)
    shutil.rmtree(into)
    return [f"![{look.replace('`', '')}](gallery/{kept.name})\n"]


def public_names() -> str:
    """Return the page of public names: each with its docstring."""
    sys.path.insert(0, str(ROOT))
    import sim

    names = "\n".join(f"::: {sim._HOMES[name]}.{name}\n" for name in sim.__all__)
    return f"# Public names\n\nAll of them are names of `sim`, and of `jounce`. Arrays are in SI, with the unit in their names.\n\n{names}"


def main() -> None:
    """Build the site."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument(
        "--only",
        action="append",
        default=[],
        metavar="NAME",
        help="run this scenario alone for the gallery; none: no run",
    )
    asked.add_argument(
        "--into", type=Path, default=ROOT / "build", help="folder for the site and what it is built from"
    )
    given = asked.parse_args()
    source, site = given.into / "site-source", given.into / "site"
    shutil.rmtree(source, ignore_errors=True)
    shutil.copytree(ROOT / "docs", source, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    (source / "gallery").mkdir()
    (source / "gallery.md").write_text(gallery(given.only, source), encoding="utf-8")
    (source / "api.md").write_text(public_names(), encoding="utf-8")
    settings = given.into / "mkdocs.yml"
    settings.write_text(SETTINGS.format(docs=source, site=site, root=ROOT), encoding="utf-8")
    subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--config-file", str(settings)], check=True
    )
    print(f"Open {site / 'index.html'}")


if __name__ == "__main__":
    main()
