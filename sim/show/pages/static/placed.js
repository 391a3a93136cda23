/* Where everything of a scene is at a frame: the same geometry as sim/show/pages/placing.py, and frames between those that are kept.
 *
 * A scene and its frames are as sim/show/pages/scene.py describes them (metres, radians, newtons).
 */

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

/** Height of a road [m] at a place of the world [m]. */
export function roadHeight(road, x) {
  const last = road.height_m.length - 1;
  const place = Math.min(Math.max((x - road.from_m) / road.step_m, 0), last);
  const before = Math.min(Math.floor(place), Math.max(last - 1, 0));
  const next = road.height_m[Math.min(before + 1, last)];
  return road.height_m[before] + (place - before) * (next - road.height_m[before]);
}
