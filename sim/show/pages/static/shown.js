/* Numbers as people read them: with a true minus sign, in the units that are shown, and beside a plot's axis. */

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
