/* A hill under a truck that is drawn: the whole picture turned up by its slope. */

import { attributed } from "./attributes.js";

/** The slope of a hill: the picture is drawn along it, as the equations have it, and turned up by it as a whole. */
export class Hill {
  constructor(climb, height) {
    this.climb = climb;
    const [sine, cosine] = [Math.abs(Math.sin(climb)), Math.cos(climb)];
    // What of a thousand units by `height` takes when it is turned.
    [this.wide, this.high] = [1000 * cosine + height * sine, height * cosine + 1000 * sine];
    this.middle = [500, height / 2];
  }

  frame(svg, turned) {
    const [x, y] = this.middle;
    attributed(svg, "viewBox", [x - this.wide / 2, y - this.high / 2, this.wide, this.high].map((n) => n.toFixed(0)).join(" "));
    if (this.climb) attributed(turned, "transform", `rotate(${(-degrees(this.climb)).toFixed(4)} ${x} ${y})`);
    else turned.removeAttribute("transform");
  }

  /** Draw what is level: from where the lower wheels stand to the other side of the picture, with the slope in words. */
  level(parts, [rear, front]) {
    parts.level.toggleAttribute("hidden", !this.climb);
    if (!this.climb) return;
    const [x, y] = (this.climb > 0 ? rear : front).map((place, axis) => place - this.middle[axis]);
    const [sine, cosine] = [Math.sin(this.climb), Math.cos(this.climb)];
    const [from, at] = [this.middle[0] + x * cosine + y * sine, this.middle[1] - x * sine + y * cosine];
    const to = this.middle[0] + Math.sign(this.climb) * (this.wide / 2 - 16);
    parts.levelLine.setAttribute("points", `${from.toFixed(2)},${at.toFixed(2)} ${to.toFixed(2)},${at.toFixed(2)}`);
    const slope = `${Math.abs(degrees(this.climb)).toFixed(1)} deg (${Math.abs(100 * Math.tan(this.climb)).toFixed(0)} %)`;
    parts.grade.textContent = `${this.climb > 0 ? "uphill" : "downhill"} ${slope}; dashed: level`;
    parts.grade.setAttribute("text-anchor", this.climb > 0 ? "end" : "start");
    parts.grade.setAttribute("x", to.toFixed(2));
    parts.grade.setAttribute("y", (at + 24).toFixed(2));
  }
}

function degrees(angle) {
  return (angle * 180) / Math.PI;
}
