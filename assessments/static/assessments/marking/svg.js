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

// The frames of a still one upon the other, by name, of which `show` shows one.
export class Pictures {
  constructor({ url, beforeUrl, width, height }) {
    const urls = beforeUrl ? { before: beforeUrl, at: url } : { at: url };
    this.byFrame = Object.fromEntries(
      Object.entries(urls).map(([frame, href]) => {
        const image = svg("image", { width, height, preserveAspectRatio: "none" });
        return [frame, { image, href }];
      }),
    );
    this.images = Object.values(this.byFrame).map(({ image }) => image);
  }

  // Asks for the pictures, once whoever listens for them does.
  fetch() {
    for (const { image, href } of Object.values(this.byFrame)) image.setAttribute("href", href);
  }

  show(frame) {
    for (const [name, { image }] of Object.entries(this.byFrame)) {
      image.setAttribute("visibility", name === frame ? "visible" : "hidden");
    }
  }
}
