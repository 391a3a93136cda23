/* What presses or lifts a body: an arrow that ends where the force acts, as long as it is large. */

/** Length of the arrow at the run's largest force, and half its widths [m]. */
const FULL_M = 0.55;
const SHAFT_M = 0.018;
const HEAD_M = 0.055;

export class Push {
  constructor(polygon) {
    this.polygon = polygon;
  }

  /** Draw a frame; one without a force has no arrow. */
  draw(frame, onBody, text) {
    const force = frame.push ? frame.push_up_n : 0;
    this.polygon.toggleAttribute("hidden", force === 0);
    if (force === 0) return;
    const [x, z] = onBody(frame.push.at);
    const long = (FULL_M * Math.abs(force)) / frame.push.most_n;
    const head = Math.min(2 * HEAD_M, long);
    // From the tip backwards, against the force.
    const back = (across, along) => [x + across, z - Math.sign(force) * along];
    this.polygon.setAttribute("points", text([
      back(0, 0), back(HEAD_M, head), back(SHAFT_M, head), back(SHAFT_M, long), back(-SHAFT_M, long), back(-SHAFT_M, head), back(-HEAD_M, head),
    ]));
  }
}
