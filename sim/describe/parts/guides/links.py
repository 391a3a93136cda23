"""Guide: upper and lower links, an exact four-bar in side view."""

from typing import Literal

import numpy as np
import numpy.typing as npt

from sim.describe.description import Description
from sim.describe.parts.guides.base import End, GuideDescription, Member
from sim.describe.parts.guides.series import Path, lowered
from sim.describe.parts.guides.wind_up import WindUp
from sim.describe.parts.places import AxlePoint, BodyPoint, SprungPlace

Array = npt.NDArray[np.float64]


class Link(Description):
    """One link, seen from the side: where it meets the frame and where the axle."""

    body: BodyPoint
    axle: AxlePoint


class Links(GuideDescription):
    """Housing held by an upper and a lower link (both sides together, as seen from the side)."""

    kind: Literal["links"]
    upper_link: Link
    lower_link: Link
    wind_up: WindUp

    def path(self, jounce: Array, place: SprungPlace, forward: float, up: float) -> tuple[Array, Array]:
        """Return the centre's forward place [m] and the housing's rotation [rad], positive lowers its front.

        Both links keep their length: two equations in place and rotation, solved by Newton's method at each
        jounce from the solution at rest.
        """
        x = np.full_like(jounce, forward)
        turn = np.zeros_like(jounce)
        for _ in range(50):
            rows = [
                self._closure(link, jounce, x, turn, place, forward, up) for link in (self.upper_link, self.lower_link)
            ]
            (g1, a1, b1), (g2, a2, b2) = rows
            # By Cramer's rule, so that all jounces are solved side by side.
            det = a1 * b2 - a2 * b1
            # Links that line up allow no step; what then stays open is refused by `_lowered`.
            with np.errstate(divide="ignore", invalid="ignore"):
                dx, dturn = (g1 * b2 - g2 * b1) / det, (a1 * g2 - a2 * g1) / det
            dx, dturn = np.nan_to_num(dx), np.nan_to_num(dturn)
            # A step is held short, so that far travel cannot jump to the other way of assembling the links.
            x, turn = x - np.clip(dx, -0.05, 0.05), turn - np.clip(dturn, -0.1, 0.1)
            if max(np.max(np.abs(dx)), np.max(np.abs(dturn))) < 1e-14:
                break
        return x, turn

    def _closure(
        self, link: Link, jounce: Array, x: Array, turn: Array, place: SprungPlace, forward: float, up: float
    ) -> tuple[Array, Array, Array]:
        """Return half the change of a link's squared length, and its derivatives by place and rotation."""
        bx, bz = place.forward(link.body), place.up(link.body)
        sine, cosine = np.sin(turn), np.cos(turn)
        px = link.axle.ahead * cosine + link.axle.above * sine
        pz = link.axle.above * cosine - link.axle.ahead * sine
        dx, dz = x + px - bx, up + jounce + pz - bz
        length2 = (forward + link.axle.ahead - bx) ** 2 + (up + link.axle.above - bz) ** 2
        # Half the square of the length: its derivatives need no root.
        return 0.5 * (dx * dx + dz * dz - length2), dx, dx * pz - dz * px

    def lower(self, place: SprungPlace, forward: float, up: float) -> Path:
        """Return the path for the kernel, over as much travel as the shorter link allows, at most 0.3 m each way.

        Raises
        ------
        ValueError
            If the links cannot guide the axle (parallel through the axle, or too short).
        """
        reach = min(
            abs(forward + link.axle.ahead - place.forward(link.body)) for link in (self.upper_link, self.lower_link)
        )
        # A level link that rises by 0.6 of its reach stands at 37 deg: past any truck's travel.
        widest = min(0.3, 0.6 * reach)
        problem = ValueError("a link reaches hardly any way along the truck; check its two ends")
        # Short or steep links bend too sharply at full range: less of it is tried before they are refused.
        for room in (widest, 0.8 * widest, 0.65 * widest, 0.5 * widest):
            if room < 0.1:  # less is no travel for a truck
                break
            try:
                return self._lowered(place, forward, up, room)
            except ValueError as error:
                problem = error
        raise problem

    def _lowered(self, place: SprungPlace, forward: float, up: float, room: float) -> Path:
        jounce = np.linspace(-room, room, 201)
        x, turn = self.path(jounce, place, forward, up)
        for link in (self.upper_link, self.lower_link):
            left = self._closure(link, jounce, x, turn, place, forward, up)[0]
            # `not <`, so that nan counts as open.
            if not np.max(np.abs(left)) < 1e-9:
                raise ValueError("the two links cannot hold the axle over its travel; check their ends")
        return lowered(lambda j: self.path(j, place, forward, up), -room, room)

    @property
    def held(self) -> str:
        """How it holds the axle, in a few words."""
        return "links"

    def members(self, place: SprungPlace, forward: float, up: float) -> tuple[Member, ...]:
        """Return both links from end to end."""
        links = self.upper_link, self.lower_link
        ends = [
            (End("axle", link.axle.ahead, link.axle.above), End("body", place.forward(link.body), place.up(link.body)))
            for link in links
        ]
        return tuple(Member("bar", pair, (0, 1)) for pair in ends)
