/* The truck of a scene, drawn to scale on SVG at any frame.
 *
 * A scene and its frames are as sim/show/pages/scene.py describes them (metres, radians, newtons); `placed` is the same
 * geometry as sim/show/pages/placing.py. Nothing here knows where numbers come from: a report has them packed, a live page
 * gets new ones. Colours and line widths are in truck.css.
 *
 *   const view = new TruckView(svg, {units: "both", windUpTimes: 5});
 *   view.scene(scene); view.road(decoded(road));
 *   view.draw(frameAt(decoded(frames), 0.25));
 */

import { attributed } from "./attributes.js";
import { Hill } from "./hill.js";
import { Push } from "./push.js";
const SVG = "http://www.w3.org/2000/svg";

/** Arrays that `encoded` of scene.py packed, unpacked; everything else as it is. */
export function decoded(value) {
  if (value === null || typeof value !== "object") return value;
  if (Array.isArray(value)) return value.map(decoded);
  if (typeof value.float32 === "string") {
    const bytes = Uint8Array.from(atob(value.float32), (letter) => letter.charCodeAt(0));
    const view = new DataView(bytes.buffer);
    return Float32Array.from({ length: bytes.length / 4 }, (_, i) => view.getFloat32(4 * i, true));
  }
  return Object.fromEntries(Object.entries(value).map(([key, own]) => [key, decoded(own)]));
}

/** How many frames there are. */
export function frameCount(frames) {
  return frames.channels.distance_m.length;
}

/** The frame at a time [s]: between two frames in proportion; before the first and after the last one, that one. */
export function frameAt(frames, time) {
  const last = frameCount(frames) - 1;
  const place = Math.min(Math.max(time / frames.step_s, 0), last);
  const before = Math.min(Math.floor(place), Math.max(last - 1, 0));
  const share = place - before;
  const frame = {};
  for (const [name, values] of Object.entries(frames.channels)) {
    const next = values[Math.min(before + 1, last)];
    frame[name] = values[before] + share * (next - values[before]);
    // A tyre is off the ground or it is not: half-way to the ground it has no load yet.
    if (name.endsWith("tyre_load_n") && (values[before] <= 0 || next <= 0)) frame[name] = share < 0.5 ? values[before] : next;
  }
  if (frames.push) frame.push = frames.push;
  return frame;
}

/** The frame of a scene that stands still. */
export function standingFrame(scene) {
  const frame = { distance_m: 0, bounce_m: 0, pitch_nose_up_rad: 0 };
  for (const [name, axle] of Object.entries(scene.axles)) {
    for (const [key, value] of Object.entries(axle.rest)) frame[`${name}.${key}`] = value;
    frame[`${name}.tyre_load_n`] = 1;
  }
  return frame;
}

/** An axle's centre ahead of the body's centre of gravity [m], and the turn that its guide gives the housing [rad]. */
export function pathAt(path, travel) {
  const arc = path.arc;
  if (arc === null) {
    const t = (travel - path.middle_m) * path.scale;
    return [path.place, path.turn].map((powers) => powers.reduceRight((sum, own) => sum * t + own, 0));
  }
  const z = travel - arc.level_m;
  const square = arc.radius_m ** 2;
  const x = arc.side * Math.sqrt(Math.max(square - z * z, arc.least * square));
  return [arc.forward_m + x, arc.turns * Math.atan2(arc.above * x - arc.ahead * z, arc.ahead * x + arc.above * z)];
}

/** Where a scene's parts are at a frame, in the world [m]: x forwards, z up. Lengths and gaps are those of the true wind-up. */
export function placed(scene, frame, windUpTimes = 1) {
  const noseDown = -(scene.rest.nose_up_rad + frame.pitch_nose_up_rad);
  const sine = Math.sin(noseDown);
  const cosine = Math.cos(noseDown);
  const x0 = frame.distance_m - scene.cg_behind_front_axle_m;
  const z0 = scene.rest.height_m + frame.bounce_m;
  const onBody = ([forward, up]) => [x0 + forward * cosine + up * sine, z0 - forward * sine + up * cosine];
  const axles = {};
  for (const [name, axle] of Object.entries(scene.axles)) axles[name] = placedAxle(axle, name, frame, onBody, windUpTimes);
  return { onBody, axles };
}

function placedAxle(axle, name, frame, onBody, times) {
  const travel = frame[`${name}.travel_m`];
  const [path, turn] = pathAt(axle.path, travel);
  const forward = path + frame[`${name}.give_m`];
  const up = axle.centre_up_m + axle.seat_above_m + travel;
  const windUp = axle.pinion_up * frame[`${name}.wind_up_rad`];
  const inBody = ([ahead, aboveCentre], angle) => {
    const [s, c] = [Math.sin(angle), Math.cos(angle)];
    const above = aboveCentre - axle.seat_above_m; // the housing turns about its seat
    return [forward + ahead * c + above * s, up + above * c - ahead * s];
  };
  const onAxle = (place) => onBody(inBody(place, turn + times * windUp));
  const lines = axle.lines.map((line) => {
    const [px, pz] = inBody(line.axle, turn + windUp);
    const length = Math.hypot(px - line.body[0], pz - line.body[1], line.sideways_m);
    return {
      line,
      body: onBody(line.body),
      axle: onAxle(line.axle),
      length_m: length,
      left_in_m: line.collapsed_m === null ? null : length - line.collapsed_m,
      left_out_m: line.extended_m === null ? null : line.extended_m - length,
    };
  });
  let stop = null;
  if (axle.stop !== null) {
    const [ahead, above] = axle.stop.body;
    const gap = above - inBody(axle.stop.meets, turn + windUp)[1];
    stop = {
      top: onBody([ahead, above + axle.stop.pad_m]),
      face: onBody([ahead, above + Math.max(-gap, 0)]),
      meets: onAxle(axle.stop.meets),
      gap_left_m: gap,
    };
  }
  const members = axle.members.map((member) => {
    const ends = member.ends.map((end) => (end.on === "body" ? onBody(end.at) : onAxle(end.at)));
    const points = member.shape === "bar" ? ends : leaf(ends[0], ends[1], ends[2], onAxle([1, member.ends[1].at[1]]));
    return { shape: member.shape, points, joints: member.joints.map((number) => ends[number]) };
  });
  return {
    centre: onAxle([0, 0]),
    turn: turn + times * windUp,
    wind_up_rad: frame[`${name}.wind_up_rad`],
    onAxle,
    lines,
    stop,
    members,
    off_ground: frame[`${name}.tyre_load_n`] <= 0,
  };
}

/** A leaf pack from eye to eye, leaving its seat as the housing is turned: clamped cantilevers, 3/2 t² - 1/2 t³. */
function leaf(eye, seat, other, ahead) {
  const half = (end) => {
    const span = Math.abs(end[0] - seat[0]);
    const sense = end[0] > seat[0] ? 1 : -1;
    const slope = [0, 1].map((i) => sense * (ahead[i] - seat[i]) * span);
    return Array.from({ length: 11 }, (_, step) => {
      const t = step / 10;
      const bent = 1.5 * t * t - 0.5 * t ** 3;
      return [0, 1].map((i) => seat[i] + slope[i] * t + (end[i] - seat[i] - slope[i]) * bent);
    });
  };
  return [...half(eye).reverse(), ...half(other).slice(1)];
}

/** A minus sign in place of the hyphen before a number in text. */
export function signed(text) {
  return text.replace("-", "−");
}

/** Numbers beside a plot's axis, of uPlot's ticks; a tick that is left out has no number. */
export function ticked(_plot, ticks) {
  return ticks.map((value) => (value === null ? "" : signed(String(value))));
}

/** The same of an axis of time: the last number has its unit. */
export function timed(plot, ticks) {
  const said = ticked(plot, ticks);
  const last = said.findLastIndex((text) => text !== "");
  return said.map((text, number) => (number === last ? `${text} s` : text));
}

/** A value in SI as people read it: units are rows of (divisor, unit, decimals), metric first; system: metric, inch or both. */
export function shown(value, units, system = "both") {
  const rows = units.length < 2 || system === "both" ? units : [units[system === "inch" ? 1 : 0]];
  const texts = rows.map(([divisor, unit, decimals]) => {
    const text = (value / divisor).toFixed(decimals);
    // A true minus sign, no "-0.0" after rounding, and no line between a number and its unit.
    return `${Number(text) === 0 ? text.replace("-", "") : signed(text)}\u00a0${unit}`.trim();
  });
  return texts.length === 1 ? texts[0] : `${texts[0]} (${texts[1]})`;
}

/** Height of a road [m] at a place of the world [m]. */
export function roadHeight(road, x) {
  const last = road.height_m.length - 1;
  const place = Math.min(Math.max((x - road.from_m) / road.step_m, 0), last);
  const before = Math.min(Math.floor(place), Math.max(last - 1, 0));
  const next = road.height_m[Math.min(before + 1, last)];
  return road.height_m[before] + (place - before) * (next - road.height_m[before]);
}

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
  for (const name of Object.keys(scene.body.points)) parts.points[name] = element(svg, "path", "point", { d: "M0 -6L6 0L0 6L-6 0Z" });
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
