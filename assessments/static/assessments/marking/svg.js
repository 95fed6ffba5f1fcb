// Small helpers for drawing.

const NAMESPACE = "http://www.w3.org/2000/svg";

export function svg(name, attributes = {}, children = []) {
  const element = document.createElementNS(NAMESPACE, name);
  set(element, attributes);
  element.append(...children);
  return element;
}

export function set(element, attributes) {
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
}

// A dark casing under the colour, so that a line reads on grass and on sky.
export function cased(d, kind) {
  return [
    svg("path", { d, class: "casing" }),
    svg("path", { d, class: `stroke ${kind}` }),
  ];
}
