/** An element with its attributes, handlers and what is in it. */
export function make(tag, attributes = {}, ...inside) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on") || key === "value" || key === "checked") element[key] = value;
    else element.setAttribute(key, value);
  }
  element.append(...inside);
  return element;
}

/** Write a text into an element where it has another: what is written anew is laid out anew. */
export function written(element, text) {
  if (element.textContent !== text) element.textContent = text;
}
