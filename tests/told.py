"""What a comparison told: the titles of its pages, and its figures, read from the files that it wrote."""

import csv
import html
import math
import re
from types import SimpleNamespace

import numpy as np
import yaml

from sim.cli import main
from tests.title_words import ENDS


def told_by(path, folder, *more):
    """Return the titles of a scenario's pages, its figures by measure and set-up, and the scenario."""
    assert main(["compare", str(path), "--outputs", str(folder), *more]) in (0, 3)
    out = folder / path.stem
    with (out / "summary.csv").open(encoding="utf-8", newline="") as file:
        head, *rows = csv.reader(file)
    setups = [name for name in head[3:] if ": " not in name and name != "worst"]
    figures = {}
    for row in rows:
        # Flags stand beneath the table, one cell each.
        if len(row) > 1:
            cells = {name: row[head.index(name)] for name in setups}
            figures[row[0]] = {name: math.inf if c == "not reached" else float(c) for name, c in cells.items() if c}
    # Where numbers are in doubt: by measure and set-up, whether the band of its change from the reference holds zero.
    open_ = {}
    if (out / "doubt.csv").exists():
        for row in csv.DictReader((out / "doubt.csv").read_text(encoding="utf-8").splitlines()):
            for name in setups:
                low, high = (
                    next((row[key] for key in row if key.startswith(f"{name}: change from") and key.endswith(end)), "")
                    for end in (" low", " high")
                )
                if low and high and "not reached" not in (low, high):
                    open_[row["measure"], name] = float(low) <= 0.0 <= float(high)
    asked = yaml.safe_load(path.read_text(encoding="utf-8"))
    # What is a set-up of the scenario but for the load that it carries, by that set-up's name; itself where it carries none.
    bare = {
        name: {k: v for k, v in (changes or {}).items() if not k.startswith("loads")}
        for name, changes in asked["setups"].items()
    }
    load = {
        name: {k: v for k, v in (changes or {}).items() if k.startswith("loads")}
        for name, changes in asked["setups"].items()
    }
    # A set-up that has no damper on an axle has no force of one.
    damped = [
        name
        for name in setups
        if all(any(name in r for of, r in figures.items() if of.startswith(f"{e} damper '")) for e in ENDS)
    ]
    placed = (
        csv.DictReader((out / "usual.csv").read_text(encoding="utf-8").splitlines())
        if (out / "usual.csv").exists()
        else ()
    )
    damping = {
        (row["set-up"], row["what"].split(" ")[0]): float(row["value"])
        for row in placed
        if row["what"].endswith("damping ratio") and "hop" not in row["what"]
    }
    titles = {}
    for page in out.glob("*.svg"):
        text = page.read_text(encoding="utf-8")
        # The title in bold, and beneath it the sentences for which it has no room.
        parts = (
            re.findall(rf'<text style="{look}px[^>]*>([^<]*)</text>', text)
            for look in ("font-weight: 700; font-size: 14", "font-size: 11")
        )
        said = ". ".join(" ".join(lines) for lines in parts if lines)
        titles[page.stem] = html.unescape(said).replace("\u00a0", " ").replace("−", "-")

    def history(setup):
        """Return the time histories of a set-up by their heads."""
        path = out / f"{re.sub(r'[^0-9a-z]+', '_', setup.lower()).strip('_')}.csv"
        with path.open(encoding="utf-8", newline="") as file:
            heads, *rows = csv.reader(file)
        return dict(zip(heads, np.array([[float(cell or "nan") for cell in row] for row in rows]).T, strict=True))

    # Of one set-up alone there is nothing to judge.
    path_of = out / "verdict.csv"
    rows_of = path_of.read_text(encoding="utf-8").splitlines() if path_of.exists() else ()
    judged = {row["block outcome"] for row in csv.DictReader(rows_of)}
    return SimpleNamespace(
        history=history,
        judged=judged,
        titles=titles,
        figures=figures,
        damping=damping,
        setups=setups,
        damped=damped,
        open=open_,
        kind=asked["run"]["kind"],
        bare=bare,
        load=load,
    )
