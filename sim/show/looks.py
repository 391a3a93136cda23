"""How a set-up looks wherever it is drawn: one colour, one dash pattern, one marker, one number.

The palette is ours, found by computation: eight lightnesses in equal steps between black and the lightest that still has a contrast
of 3 to 1 on white paper, and at each the colour that keeps all eight farthest apart in CAM16-UCS for people with usual colour vision
and for those who lack one of the three cones. tests/show/test_palette.py proves it anew by a library for colour science. Grey prints
have the lightness; photocopies still have the dash patterns and the numbers.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Look:
    """How one set-up is drawn.

    Attributes
    ----------
    number : int
        Its number in the legend and in strips, from 1.
    colour : str
        #rrggbb.
    dash : tuple of float
        On and off lengths in points; empty for a solid line.
    marker : str
        Marker of single points.
    """

    number: int
    colour: str
    dash: tuple[float, ...]
    marker: str

    @property
    def line(self) -> dict[str, Any]:
        """Arguments of a line."""
        style = (0, self.dash) if self.dash else "-"
        return {"color": self.colour, "linestyle": style, "linewidth": 1.4}

    @property
    def lightness(self) -> float:
        """CIE 1976 lightness L*, 0 black to 100 white."""
        return lightness(self.colour)


SOLID: tuple[float, ...] = ()
LOOKS: tuple[Look, ...] = tuple(
    Look(number, colour, dash, marker)
    for number, (colour, dash, marker) in enumerate(
        (
            ("#0d0022", SOLID, "o"),
            ("#de7a1a", (7.0, 1.5), "*"),
            ("#04049e", (2.5, 1.2), "^"),
            ("#7f30ff", (9.0, 1.5, 2.0, 1.5), "D"),
            ("#0a8c8d", (1.2, 1.2), "v"),
            ("#884000", (5.0, 1.5, 1.5, 1.5, 1.5, 1.5), "P"),
            ("#4a3c48", (4.0, 0.8), "X"),
            ("#390d01", (12.0, 2.5), "<"),
        ),
        start=1,
    )
)
"""In the order of set-ups; the first four have the widest steps of lightness. No marker is a square: one around a marker means flagged."""

DAMPER, SPRING, GUIDE, STRAP = "#a4263f", "#1f4e8c", "#a07c00", "#525c64"
"""Parts of a truck on white paper, in pictures as on pages (static/report.css, which has lighter ones for dark screens)."""

MARK = LOOKS[1].colour
"""One line that is pointed out among others."""


def looks(setups: Iterable[str]) -> dict[str, Look]:
    """Return the look of each set-up, by its place in the scenario.

    Past eight, colours repeat; the numbers go on.
    """
    setup_looks = {}
    for place, setup in enumerate(setups):
        # Eight is what can be told apart; past it the number is the only sure sign.
        look = LOOKS[place % len(LOOKS)]
        setup_looks[setup] = Look(place + 1, look.colour, look.dash, look.marker)
    return setup_looks


def lightness(colour: str) -> float:
    """Return the CIE 1976 lightness L* of an sRGB colour #rrggbb (IEC 61966-2-1; CIE 15)."""
    linear = []
    for start in (1, 3, 5):
        share = int(colour[start : start + 2], 16) / 255.0
        # Undo the gamma of sRGB: light adds up in linear shares only.
        linear.append(share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4)
    # Weights of the primaries of ITU-R BT.709, which sRGB shares: the eye sees green far brighter than blue.
    luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    bent = luminance ** (1.0 / 3.0) if luminance > 216.0 / 24389.0 else None
    return 116.0 * bent - 16.0 if bent is not None else luminance * 24389.0 / 27.0
