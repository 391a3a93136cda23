/* What a tab remembers over a reload: what is typed into the form, set-ups, course, speed, loads, a lift, and the units that are shown. Nothing of it
   is written into a file, and no other tab sees it. */

/** Of this truck, and of what it was opened on: set-ups of another scenario are not these. */
function placeOfTries(given) {
  return `jounce ${given.file || "new"} ${JSON.stringify(given.trial)}`;
}

/** Of this truck's file, whichever of its scenarios is open. A server that is started again has the file in the same folder. */
function placeOfForm(given, file = given.file) {
  return `jounce form ${given.folder} ${file || "new"}`;
}

/** What stands at a place; empty where nothing does, or the browser keeps nothing. */
function at(place) {
  try {
    return JSON.parse(sessionStorage.getItem(place) ?? "{}");
  } catch {
    return {};
  }
}

function put(place, what) {
  try {
    sessionStorage.setItem(place, JSON.stringify(what));
  } catch {
    // A browser that keeps nothing, or has no room: the page goes on without.
  }
}

function out(place) {
  try {
    sessionStorage.removeItem(place);
  } catch {
    // as above
  }
}

/** What was tried. */
export function remembered(given) {
  return at(placeOfTries(given));
}

/** Remember it from now on. */
export function remember(given, what) {
  put(placeOfTries(given), what);
}

/** Forget what was tried: another scenario of the truck is opened. */
export function forget(given) {
  out(placeOfTries(given));
}

/** What was typed into the form and not saved: boxes' texts by path, and the mark of the file that they were typed over. */
export function rememberedForm(given) {
  const own = at(placeOfForm(given));
  if (own.edits || !given.file) return own;
  // Another tab of this server has written the new truck's file meanwhile: what is typed here was typed over none.
  const fresh = at(placeOfForm(given, ""));
  return fresh.address === location.pathname ? fresh : {};
}

/** Remember what is typed; once nothing is unsaved, nothing. */
export function rememberForm(given, what) {
  if (given.file) out(placeOfForm(given, ""));
  if (Object.keys(what.edits).length) put(placeOfForm(given), { ...what, address: location.pathname });
  else out(placeOfForm(given));
}
