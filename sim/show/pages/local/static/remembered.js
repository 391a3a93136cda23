/* What a tab remembers over a reload: set-ups, course, speed, loads, a lift, and the units that are shown. Nothing of it is written into a file. */

/** Of this truck, and of what it was opened on: set-ups of another scenario are not these. */
function place(given) {
  return `jounce ${given.file || "new"} ${JSON.stringify(given.trial)}`;
}

/** What was remembered; empty where nothing was, or the browser keeps nothing. */
export function remembered(given) {
  try {
    return JSON.parse(sessionStorage.getItem(place(given)) ?? "{}");
  } catch {
    return {};
  }
}

/** Remember it from now on. */
export function remember(given, what) {
  try {
    sessionStorage.setItem(place(given), JSON.stringify(what));
  } catch {
    // A browser that keeps nothing, or has no room: the page goes on without.
  }
}

/** Forget what this truck had: another scenario of it is opened. */
export function forget(given) {
  try {
    sessionStorage.removeItem(place(given));
  } catch {
    // as above
  }
}
