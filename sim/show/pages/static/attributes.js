/* Attributes of what is drawn again and again. */

/** Set an attribute where it is another: what is set to what it was is laid out and painted anew all the same. */
export function attributed(element, name, value) {
  if (element.getAttribute(name) !== value) element.setAttribute(name, value);
}
