/* Channels over time, all set-ups in one plot; a plot each for what is looked at first. */

import { ticked, timed } from "../truck/shown.js";

/** Colours and dashes of set-ups: those of every picture of jounce (sim/show/looks.py), told apart in grey by their dashes. */
export const LOOKS = [
  ["#0d0022", []], ["#de7a1a", [8, 2]], ["#04049e", [4, 2]], ["#7f30ff", [10, 2, 2, 2]],
  ["#0a8c8d", [2, 2]], ["#884000", [6, 2, 2, 2, 2, 2]], ["#4a3c48", [5, 1]], ["#390d01", [14, 3]],
];

const DEGREES = 180 / Math.PI;
const KINDS = [
  { title: "Upward acceleration at the SEAT, unweighted; ride in the table is weighted", unit: "g", channel: "acceleration_m_per_s2", factor: 1 / 9.80665 },
  { title: "Nose up", unit: "deg", channel: "pitch_nose_up_rad", factor: DEGREES },
  { title: "Front axle up against the frame, from as measured", unit: "mm", channel: "front.travel_m", factor: 1000, inch: ["in", 1 / 0.0254] },
  { title: "Rear axle up against the frame, from as measured", unit: "mm", channel: "rear.travel_m", factor: 1000, inch: ["in", 1 / 0.0254] },
  { title: "Front tyres on the ground", unit: "kN", channel: "front.tyre_load_n", factor: 1e-3, inch: ["lbf", 1 / 4.4482216152605] },
  { title: "Rear tyres on the ground", unit: "kN", channel: "rear.tyre_load_n", factor: 1e-3, inch: ["lbf", 1 / 4.4482216152605] },
];

/** Of a truck that pulls away: what winds up and hops first. */
const PULLING = [
  { title: "Rear axle winds up, pinion up", unit: "deg", channel: "rear.wind_up_rad", factor: DEGREES },
  { title: "Front axle winds up, pinion up", unit: "deg", channel: "front.wind_up_rad", factor: DEGREES },
  { title: "Speed", unit: "km/h", channel: "speed_m_per_s", factor: 3.6, inch: ["mph", 1 / 0.44704] },
  { title: "Rear wheels' slip", unit: "%", channel: "rear.slip", factor: 100 },
  { title: "Front wheels' slip", unit: "%", channel: "front.slip", factor: 100 },
  KINDS[1], KINDS[3], KINDS[5], KINDS[2], KINDS[4],
];

/** Unit and factor of a plot in the system that is shown. */
function scaled({ unit, factor, inch }, system) {
  return system === "inch" && inch ? inch : [unit, factor];
}

/** A channel of a run as it is plotted, worked out once; one that blew up ends where it did. */
function values(run, channel, factor, longest) {
  const own = run?.channels[channel];
  if (!own) return new Array(longest).fill(null);
  run.plotted ??= new Map();
  const key = `${channel} ${factor} ${longest}`;
  if (!run.plotted.has(key)) {
    const scaled = own.map((value) => factor * value);
    run.plotted.set(key, own.length < longest ? [...scaled, ...new Array(longest - own.length).fill(null)] : scaled);
  }
  return run.plotted.get(key);
}

/** A short line in the look of a set-up. */
export function keyLine(number) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("class", "key-line");
  svg.setAttribute("viewBox", "0 0 44 14");
  svg.setAttribute("aria-hidden", "true");
  const line = document.createElementNS("http://www.w3.org/2000/svg", "line");
  const [colour, dash] = LOOKS[number % LOOKS.length];
  for (const [key, value] of Object.entries({ x1: 0, x2: 44, y1: 7, y2: 7, stroke: colour, "stroke-width": 4, "stroke-dasharray": dash.map((n) => 1.5 * n).join(" ") })) line.setAttribute(key, value);
  svg.append(line);
  return svg;
}

export class Plots {
  constructor(place, looked) {
    this.place = place;
    this.looked = looked;
    this.own = [];
    this.late = new Set();
    // A plot that nobody sees is drawn when it comes into sight.
    this.sight = new IntersectionObserver((seen) => {
      for (const { target, isIntersecting } of seen) {
        target.inSight = isIntersecting;
        if (isIntersecting) this.drawLate(Number(target.dataset.number));
      }
    }, { rootMargin: "100px" });
    new ResizeObserver(() => this.sized()).observe(place);
  }

  sized() {
    const width = this.place.clientWidth;
    if (width > 0) for (const plot of this.own) if (plot.width !== width) {
      plot.stands = null;
      plot.setSize({ width, height: plot.height });
    }
  }

  draw(runs, system) {
    const many = runs.length;
    const seat = runs.find(Boolean)?.seat ?? this.seat ?? "driver";
    const kinds = runs.find(Boolean)?.channels.speed_m_per_s ? PULLING : KINDS;
    if (this.many !== many || this.system !== system || this.seat !== seat || this.kinds !== kinds) {
      this.many = many;
      this.kinds = kinds;
      this.late.clear();
      this.seat = seat;
      this.system = system;
      this.own.forEach((plot) => plot.destroy());
      this.sight.disconnect();
      this.place.replaceChildren();
      this.own = kinds.map((kind) => this.plot(kind, many));
    }
    this.runs = runs;
    const longest = Math.max(...runs.map((run) => (run ? run.channels.distance_m.length : 0)));
    const step = runs.find(Boolean)?.step_s ?? 0.008;
    if (this.seconds?.length !== longest || this.step !== step) {
      this.step = step;
      this.seconds = Float64Array.from({ length: longest }, (_, i) => i * step);
    }
    this.own.forEach((_, number) => this.late.add(number));
    for (const number of [...this.late]) if (this.place.children[number].inSight) this.drawLate(number);
  }

  drawLate(number) {
    if (!this.late.delete(number)) return;
    const { channel } = this.kinds[number];
    const [, factor] = scaled(this.kinds[number], this.system);
    const rows = [this.seconds, ...this.runs.map((run) => values(run, channel, factor, this.seconds.length))];
    const plot = this.own[number];
    if (rows.every((row, i) => row === plot.data[i])) return;
    if (plot.data[0] !== this.seconds) plot.stands = null;
    plot.setData(rows);
  }

  plot(kind, many) {
    const box = document.createElement("div");
    box.className = "plot";
    box.dataset.number = this.kinds.indexOf(kind);
    const title = document.createElement("h3");
    title.textContent = `${kind.title.replace("SEAT", () => this.seat)} [${scaled(kind, this.system)[0]}]`;
    box.append(title);
    this.place.append(box);
    this.sight.observe(box);
    const series = Array.from({ length: many }, (_, number) => {
      const [colour, dash] = LOOKS[number % LOOKS.length];
      return { stroke: colour, width: 1.5, dash, points: { show: false } };
    });
    const axis = { stroke: "#1d2326", grid: { stroke: "#e2ddcf", width: 1 }, ticks: { show: false }, font: "14px system-ui", size: 44, values: ticked };
    return new uPlot(
      {
        width: Math.max(this.place.clientWidth, 200), height: 170, legend: { show: false }, pxAlign: 0,
        scales: { x: { time: false } }, series: [{}, ...series],
        axes: [{ ...axis, size: 28, values: timed }, { ...axis, size: 52 }],
        cursor: {
          drag: { x: false, y: false }, y: false, points: { show: false },
          bind: { click: (plot) => () => { this.looked(plot.posToVal(plot.cursor.left, "x")); return null; } },
        },
      },
      [[0, 1], ...series.map(() => [null, null])],
      box,
    );
  }

  /** Stand all cursors at a time [s]. */
  at(time) {
    this.time = time;
    this.own.forEach((plot, number) => {
      if (!(plot.data[0]?.length > 2) || !this.place.children[number].inSight || plot.stands === time) return;
      plot.stands = time;
      plot.setCursor({ left: plot.valToPos(time, "x"), top: 1 }, false);
    });
  }
}
