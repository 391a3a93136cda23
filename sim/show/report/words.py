"""A few words beside the terms of a table, for readers who do not know them: only of those that stand in it."""

import re
from collections.abc import Iterable

from sim.describe.shown import in_shown_units

WORDS: tuple[tuple[str, str, str], ...] = (
    (r"\bbounce\b", "bounce", "body up and down"),
    (r"\bpitch(ing)?\b", "pitch", "nose against tail"),
    (r"\bhop\b", "hop", "an axle up and down on its tyres, under power in turn with wind-up"),
    (r"\bwind-up\b", "wind-up", "turn of an axle about itself under torque"),
    (r"\bbobs\b", "bobs", "swings until it rests, in halves"),
    (r"\bsettling time\b|\bsettles\b", "settling time", "until swings have died away"),
    (r"\bovershoot\b", "overshoot", "how far it swings past rest"),
    (r"\bdecay\b", "decay", "how swings die away by themselves"),
    (r"\bdamping ratio\b", "damping ratio", "0 swings on and on, 1 does not swing at all"),
    (r"\bnatural\b", "natural frequency", "how often a second it swings by itself"),
    (r"\bweighted\b", "weighted RMS", "mean shake, as people feel it (ISO 2631-1)"),
    (r"(?<!weighted )\bRMS\b", "RMS", "mean size of a swing or shake"),
    (r"\bdose\b", "dose", "the shake of the whole run added up, hard hits count most (ISO 2631-1)"),
    (r"\bcrest factor\b", "crest factor", "hardest hit over mean shake"),
    (r"\btyre load: variation\b", "variation of tyre load", "how much the load swings about its mean"),
    (r"\bjacking\b", "jacking", "body pulled down or pushed up by bumps that follow each other"),
    (r"\bknees?\b", "knee", "damper speed from which its force rises less"),
    (r"\bmotion ratio\b", "motion ratio", "travel of the damper for each travel of the wheel"),
    (r"\banti-dive\b", "anti-dive", "share of the nose's dive that the arms hold up where the front wheels alone brake"),
    (r"\banti-squat\b", "anti-squat", "share of the tail's squat that the axle's guide holds up when pulling away"),
    (r"\binstant centre\b", "instant centre", "the point that an axle turns about just now"),
    (r"\bslip\b", "slip", "how much faster or slower the tread goes than the road"),
    (r"\btime to halve\b", "time to halve", "until a swing is half as large"),
    (r"\bslope of grip\b", "slope", "how much grip rises with slip: below zero it falls"),
    (r"\btramp\b", "tramp", "an axle that winds up and hops in turn, by itself"),
    (r"\bgap of the branches\b", "gap of the branches", "force going out less force coming back at one speed: friction and lag"),
    (r"\bcastor\b", "castor", "backward lean of the steering axis"),
    (r"\bbump steer\b", "bump steer", "steering by travel alone"),
)  # fmt: skip
"""Term as it is looked for, as it is said, and what it means; in the order in which they are said."""


def words_of(texts: Iterable[str]) -> str:
    """Return a line with the meaning of each term that stands in some texts; empty if there is none."""
    whole = " \n ".join(texts)
    said = [f"{term}: {meaning}" for pattern, term, meaning in WORDS if re.search(pattern, whole, re.IGNORECASE)]
    return in_shown_units(f"Words: {'; '.join(said)}.") if said else ""
