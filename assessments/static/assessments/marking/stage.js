// The still on screen with everything drawn on it. Knows where things are; decides nothing.

import { plain } from "./frames.js";
import { construction } from "./lines.js";
import { Pictures, cased, set, svg } from "./svg.js";

// Crosses with an open middle: the feature under a mark stays in sight.
const CROSS = "M-9 0H-3M3 0H9M0-9V-3M0 3V9";
const BAR = "M-6 0H-2M2 0H6";
const PENDING = "M-22 0H-4M4 0H22M0-22V-4M0 4V22";

export class Stage {
  // `root` holds the picture's svg; the page's layout gives it its size.
  constructor(root, still, viewport) {
    this.root = root;
    this.viewport = viewport;
    this.svg = root.querySelector("[data-picture]");
    this.pictures = new Pictures(still);
    this.#lines = svg("g", { class: "lines" });
    this.#marks = svg("g", { class: "marks" });
    this.svg.append(...this.pictures.images, this.#lines, this.#marks);
    root.style.setProperty("--ratio", still.width / still.height);
    this.#await();
  }

  #await() {
    let missing = this.pictures.images.length;
    for (const image of this.pictures.images) {
      image.addEventListener("load", () => {
        missing -= 1;
        if (!missing) this.root.setAttribute("data-loaded", "");
      });
      image.addEventListener("error", () => this.root.setAttribute("data-failed", ""));
    }
    this.pictures.fetch();
  }

  #lines;
  #marks;

  // Screen pixels a pixel of the still.
  get scale() {
    const [, , width] = this.viewport.box;
    return this.svg.getBoundingClientRect().width / width || 1;
  }

  // Where on the still a place of the window is.
  stillPoint([x, y]) {
    const box = this.svg.getBoundingClientRect();
    const [left, top] = this.viewport.box;
    return [left + (x - box.left) / this.scale, top + (y - box.top) / this.scale];
  }

  windowPoint([u, v]) {
    const box = this.svg.getBoundingClientRect();
    const [left, top] = this.viewport.box;
    return [box.left + (u - left) * this.scale, box.top + (v - top) * this.scale];
  }

  // The key of the mark nearest to a place of the window, within a radius in screen pixels.
  hit(points, [x, y], radius) {
    const near = Object.entries(points)
      .map(([key, point]) => {
        const [px, py] = this.windowPoint(point);
        return { key, distance: Math.hypot(px - x, py - y) };
      })
      .filter(({ distance }) => distance <= radius)
      .sort((one, other) => one.distance - other.distance);
    return near[0]?.key ?? null;
  }

  // `pending` is a point that is not placed yet, or null.
  draw(marks, result, pending) {
    set(this.svg, { viewBox: this.viewport.box.join(" ") });
    this.pictures.show(marks.frame);
    const px = 1 / this.scale;
    const { lines, labels } = construction(result, px, this.viewport.box);
    this.#lines.replaceChildren(
      ...lines.flatMap(({ kind, d }) => cased(d, kind)),
      ...labels.map((label) => words(label, px, this.viewport)),
    );
    const markPx = px * Math.min(1, 0.5 + this.svg.clientWidth / 1600); // less of a small picture
    const stateOf = (key) => {
      if (key === marks.selected) return "selected";
      return marks.unconfirmed.includes(key) ? "unconfirmed" : "placed";
    };
    const placed = Object.entries(marks.shown).map(([key, point]) =>
      mark(key, point, markPx, stateOf(key)),
    );
    const lent = Object.entries(marks.lent).map(([key, point]) => mark(key, point, markPx, "lent"));
    this.#marks.replaceChildren(...lent, ...placed);
    if (pending) this.#marks.append(cross(pending, px, PENDING, "pending"));
  }
}

function mark(key, point, px, state) {
  const shape = plain(key).startsWith("ball") ? BAR : CROSS;
  const element = cross(point, px, shape, state);
  element.dataset.mark = key;
  return element;
}

function cross([u, v], px, shape, state) {
  const transform = `translate(${u} ${v}) scale(${px})`;
  return svg("g", { class: `mark ${state}`, transform }, cased(shape, state));
}

// Off the picture the words stay at its edge; off a part of it they stay away.
function words({ kind, text, at, anchor }, px, viewport) {
  const [left, top, width, height] = viewport.box;
  const low = [left + 4 * px, top + 12 * px];
  const high = [left + width - 4 * px, top + height - 10 * px];
  const inside = at.map((position, i) => Math.min(high[i], Math.max(low[i], position)));
  if (!viewport.isWhole && inside.some((position, i) => position !== at[i])) return "";
  const element = svg("text", {
    class: `label ${kind}`,
    transform: `translate(${inside.join(" ")}) scale(${px})`,
    "text-anchor": anchorInside(anchor, inside[0] - low[0], high[0] - inside[0], 7 * text.length * px),
    "dominant-baseline": "central",
  });
  element.textContent = text;
  return element;
}

function anchorInside(anchor, roomLeft, roomRight, length) {
  if (anchor !== "end" && roomRight < length) return "end";
  return anchor !== "start" && roomLeft < length ? "start" : anchor;
}
