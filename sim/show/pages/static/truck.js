/* The truck of a scene, drawn to scale on SVG at any frame.
 *
 * A scene and its frames are as sim/show/pages/scene.py describes them, and placed.js says where that is. Nothing here knows where numbers come
 * from: a report has them packed, a live page gets new ones. Colours and line widths are in truck.css.
 *
 *   const view = new TruckView(svg, {units: "both", windUpTimes: 5});
 *   view.scene(scene); view.road(decoded(road));
 *   view.draw(frameAt(decoded(frames), 0.25));
 */

import { attributed } from "./attributes.js";
import { Hill } from "./hill.js";
import { placed, roadHeight } from "./placed.js";
import { Push } from "./push.js";
import { shown } from "./shown.js";

const SVG = "http://www.w3.org/2000/svg";

/** Width of a picture [px] below which its numbers are not written. */
const NARROW_PX = 560;

/** Ground that is drawn below where the truck stands [m]. */
const BELOW_M = 0.22;

const LEVEL = { from_m: 0, step_m: 1, height_m: [0, 0], climb_rad: 0 };

/** One truck on one SVG element. The element's own size decides the scale; draw() again after it has changed. */
export class TruckView {
  /**
   * @param svg      an empty <svg>; it gets a viewBox in pixels of its own and everything that is drawn
   * @param options  units: "metric", "inch" or "both"; windUpTimes: by how much wind-up is drawn enlarged;
   *                 labels: whether stroke left is written beside dampers;
   *                 aspect: height over width of the picture; left out: room for the body to rise by half a metre
   */
  constructor(svg, options = {}) {
    this.svg = svg;
    this.options = { units: "both", windUpTimes: 1, labels: true, aspect: null, ...options };
    this.ground = LEVEL;
    this.last = null;
    svg.classList.add("truck");
    // Numbers that would be too small to read are left out. Asked for at each frame, the width would have the page laid out anew.
    new ResizeObserver(([seen]) => svg.classList.toggle("narrow", seen.contentRect.width > 0 && seen.contentRect.width < NARROW_PX)).observe(svg);
  }

  /** Take a scene: once a set-up, and again when its parts have changed. */
  scene(scene) {
    this.drawn = scene;
    // A little more than the truck, and as high as its body may rise.
    const places = [...scene.body.outline, ...scene.body.rail];
    const behind = places.map(([forward]) => scene.cg_behind_front_axle_m - forward);
    this.from = Math.min(...behind) - 0.3;
    this.width = Math.max(...behind) + 0.3 - this.from;
    const highest = scene.rest.height_m + Math.max(...places.map(([, up]) => up));
    this.aspect = this.options.aspect ?? (highest + 0.5 + BELOW_M) / this.width;
    this.roof_m = highest;
    this.parts = build(this.svg, scene, this.options);
    if (this.last) this.draw(this.last);
  }

  /** How much of the world the picture of this truck has: from where behind its front axle, how wide and how high [m]. */
  get room() {
    return { from: this.from, width: this.width, high: this.aspect * this.width };
  }

  /** Show so much of the world, as the pictures beside it do, with a line at the height of another truck's roof [m]; null: none. */
  share({ from, width, high }, roof_m) {
    [this.from, this.width, this.aspect] = [from, width, high / width];
    this.parts.mark ??= this.parts.turned.appendChild(document.createElementNS(SVG, "path"));
    attributed(this.parts.mark, "class", "mark");
    attributed(this.parts.mark, "d", roof_m === null ? "" : `M0 ${((high - roof_m - BELOW_M) * (1000 / width)).toFixed(2)}H1000`);
    if (this.last) this.draw(this.last);
  }

  road(road) {
    this.ground = road ?? LEVEL;
    if (this.last) this.draw(this.last);
  }

  units(system) {
    this.options.units = system;
    if (this.last) this.draw(this.last);
  }

  windUp(times) {
    this.options.windUpTimes = times;
    if (this.last) this.draw(this.last);
  }

  /** Draw a frame; returns where everything is (`placed`, with the true wind-up). */
  draw(frame) {
    this.last = frame;
    const { drawn: scene, parts, options } = this;
    // A thousand units wide whatever the element's size.
    const scale = 1000 / this.width;
    const height = 1000 * this.aspect;
    const hill = new Hill(this.ground.climb_rad ?? 0, height);
    hill.frame(this.svg, parts.turned);
    const base = roadHeight(this.ground, frame.distance_m - 0.5 * scene.wheelbase_m);
    // Forward is to the right, here and in every picture.
    const left = frame.distance_m - this.from - this.width;
    const sx = (x) => (x - left) * scale;
    const sz = (z) => height - (z - base + BELOW_M) * scale;
    const text = (places) => places.map(([x, z]) => `${sx(x).toFixed(2)},${sz(z).toFixed(2)}`).join(" ");
    const world = placed(scene, frame, options.windUpTimes);
    attributed(parts.outline, "points", text(scene.body.outline.map(world.onBody)));
    attributed(parts.rail, "points", text(scene.body.rail.map(world.onBody)));
    put(parts.gravity, sx, sz, world.onBody([0, 0]));
    for (const [name, place] of Object.entries(scene.body.points)) put(parts.points[name], sx, sz, world.onBody(place));
    for (const [name, axle] of Object.entries(world.axles)) {
      drawAxle(parts.axles[name], scene.axles[name], axle, { sx, sz, text, scale, units: scene.units.length, system: options.units });
    }
    parts.push.draw(frame, world.onBody, text);
    // Turned by a hill, the picture shows more of the road at both sides, and more of the ground below.
    const [steps, more] = hill.climb ? [320, 0.5 * this.width] : [160, 0];
    const road = Array.from({ length: steps + 1 }, (_, i) => {
      const x = left - more + (i * (this.width + 2 * more)) / steps;
      return [x, roadHeight(this.ground, x)];
    });
    const bottom = height + more * scale;
    attributed(parts.road, "points", `${-more * scale},${bottom} ${text(road)} ${1000 + more * scale},${bottom}`);
    attributed(parts.surface, "points", text(road));
    const contacts = Object.values(world.axles).map(({ centre: [x] }) => [sx(x), sz(roadHeight(this.ground, x))]);
    hill.level(parts, contacts.sort((a, b) => a[0] - b[0]));
    return world;
  }
}

function put(element, sx, sz, [x, z]) {
  attributed(element, "transform", `translate(${sx(x).toFixed(2)} ${sz(z).toFixed(2)})`);
}

function drawAxle(parts, scene, axle, to) {
  const { sx, sz, text, scale } = to;
  put(parts.wheel, sx, sz, axle.centre);
  parts.wheel.classList.toggle("off-ground", axle.off_ground);
  attributed(parts.tyre, "r", (scene.tyre.radius_m * scale).toFixed(2));
  attributed(parts.rim, "r", (scene.tyre.radius_m * 0.55 * scale).toFixed(2));
  parts.lifted.toggleAttribute("hidden", !axle.off_ground);
  put(parts.lifted, sx, sz, [axle.centre[0], axle.centre[1] - scene.tyre.radius_m * 0.68]);
  // The housing with its pinion: a rear pinion points forward, a front one back.
  const pinion = scene.pinion_up > 0 ? -0.17 : 0.17;
  attributed(parts.housing, "points", text([axle.onAxle([0, 0.07]), axle.onAxle([pinion, 0.035]), axle.onAxle([pinion, -0.035]), axle.onAxle([0, -0.07])]));
  put(parts.hub, sx, sz, axle.centre);
  attributed(parts.hub, "r", (0.075 * scale).toFixed(2));
  axle.members.forEach((member, number) => {
    attributed(parts.members[number].line, "points", text(member.points));
    member.joints.forEach((joint, own) => put(parts.members[number].joints[own], sx, sz, joint));
  });
  if (axle.stop) {
    const met = axle.stop.gap_left_m < 0;
    attributed(parts.stop, "points", text(pad(axle.stop)));
    parts.stop.classList.toggle("met", met);
  }
  axle.lines.forEach((own, number) => drawLine(parts.lines[number], own, to));
  // Beside the wheel on the side of the truck's middle, where the body leaves room; the front axle's above the rear one's.
  const rear = scene.behind_front_m > 0;
  const inward = (rear ? 1 : -1) * (scene.tyre.radius_m + 0.12);
  put(parts.left, sx, sz, [axle.centre[0] + inward, axle.centre[1] + scene.tyre.radius_m + (rear ? 0.04 : 0.26)]);
}

/** A stop's pad between its two faces, 80 mm across. */
function pad({ top, face }) {
  return [[top[0] - 0.04, top[1]], [top[0] + 0.04, top[1]], [face[0] + 0.032, face[1]], [face[0] - 0.032, face[1]]];
}

/** Stroke below which a damper or strap is marked: at its end, or past it. */
const AT_END_M = 0;

function drawLine(part, own, to) {
  const { sx, sz, text, units, system } = to;
  const [body, axle] = [own.body, own.axle];
  const atEnd = (own.left_in_m !== null && own.left_in_m < AT_END_M) || (own.left_out_m !== null && own.left_out_m < AT_END_M);
  part.group.classList.toggle("at-end", atEnd);
  const between = (share) => [body[0] + share * (axle[0] - body[0]), body[1] + share * (axle[1] - body[1])];
  if (own.line.role === "coil") {
    attributed(part.line, "points", text(coil(body, axle)));
  } else if (own.line.role === "damper") {
    // Tube as long as it must be to hold its stroke: the drawn half of a damper fully in.
    const tubeUp = own.line.tube_end === "up";
    const collapsed = own.line.collapsed_m ?? 0.6 * own.length_m;
    const share = Math.min((0.86 * collapsed) / own.length_m, 0.95);
    attributed(part.line, "points", text([body, axle]));
    attributed(part.tube, "points", text(tubeUp ? [between(0.03), between(share)] : [between(1 - share), between(0.97)]));
    part.ends.forEach((end, number) => put(end, sx, sz, [body, axle][number]));
    for (const row of part.rows) {
      const left = own[row.key];
      const words = left === null ? "" : `${row.word} ${left < 0 ? "met" : shown(left, units, system)}`;
      if (row.element.textContent !== words) row.element.textContent = words;
    }
  } else {
    attributed(part.line, "points", text([body, axle]));
    part.group.classList.toggle("taut", own.line.role === "strap" && own.left_out_m !== null && own.left_out_m <= 0);
  }
}

/** A coil of six turns, 90 mm across; its true wire is not in a scene. */
function coil(body, axle) {
  const [dx, dz] = [axle[0] - body[0], axle[1] - body[1]];
  const length = Math.hypot(dx, dz) || 1;
  return Array.from({ length: 49 }, (_, step) => {
    const t = step / 48;
    const across = 0.045 * Math.sin(2 * Math.PI * 6 * t);
    return [body[0] + dx * t - (dz / length) * across, body[1] + dz * t + (dx / length) * across];
  });
}

function element(parent, name, kind, attributes = {}) {
  const made = document.createElementNS(SVG, name);
  if (kind) made.setAttribute("class", kind);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  parent.append(made);
  return made;
}

/** Lay out everything that is drawn, from the back to the front. */
function build(whole, scene, options) {
  whole.replaceChildren();
  const svg = element(whole, "g", "turned");
  const parts = { turned: svg, axles: {}, points: {} };
  parts.outline = element(svg, "polygon", "outline");
  for (const name of Object.keys(scene.axles)) {
    const wheel = element(svg, "g", "wheel");
    parts.axles[name] = { wheel, tyre: element(wheel, "circle", "tyre"), rim: element(wheel, "circle", "rim") };
  }
  parts.road = element(svg, "polygon", "road");
  parts.surface = element(svg, "polyline", "surface");
  parts.rail = element(svg, "polygon", "rail");
  for (const [name, axle] of Object.entries(scene.axles)) {
    const own = parts.axles[name];
    own.members = axle.members.map((member) => ({
      line: element(svg, "polyline", `member ${member.shape}`),
      joints: member.joints.map(() => element(svg, "circle", "joint", { r: 5 })),
    }));
    own.stop = axle.stop ? element(svg, "polygon", "stop") : null;
    own.housing = element(svg, "polygon", "housing");
    own.hub = element(svg, "circle", "hub");
    // Towards the middle of the truck, so that text begins at the rear axle and ends at the front one.
    own.left = element(svg, "text", "left", { "text-anchor": axle.behind_front_m > 0 ? "start" : "end" });
    own.lines = axle.lines.map((line) => buildLine(svg, line, own.left, axle.lines, options));
    own.lifted = element(svg, "text", "lifted", { "text-anchor": "middle", hidden: "" });
    own.lifted.textContent = "off the ground";
  }
  parts.gravity = element(svg, "path", "gravity", { d: "M-9 0H9M0 -9V9" });
  for (const name of Object.keys(scene.body.points)) parts.points[name] = element(svg, "path", "point", { d: name.includes(": ") ? "M-5 -5H5V5H-5Z" : "M0 -6L6 0L0 6L-6 0Z" }); // what was taped for clearances is a square
  parts.push = new Push(element(svg, "polygon", "push", { hidden: "" }));
  parts.level = element(whole, "g", "level", { hidden: "" });
  parts.levelLine = element(parts.level, "polyline", "line");
  parts.grade = element(parts.level, "text", "left");
  return parts;
}

function buildLine(svg, line, label, lines, options) {
  const group = element(svg, "g", line.role);
  const part = { group, line: element(group, "polyline", "line"), rows: [] };
  if (line.role !== "damper") return part;
  part.tube = element(group, "polyline", "tube");
  part.ends = [0, 1].map(() => element(group, "circle", "end", { r: 4.5 }));
  if (!options.labels) return part;
  // Which damper, where there is more than one set.
  const which = lines.filter((own) => own.role === "damper").length > 1 ? `${line.name} ` : "";
  part.rows = [["left_in_m", "to collapsed"], ["left_out_m", "to extended"]].map(([key, word]) => ({
    key,
    word: `${which}${word}`,
    element: element(label, "tspan", "row", { x: 0, dy: label.childElementCount ? "1.15em" : "0" }),
  }));
  return part;
}
