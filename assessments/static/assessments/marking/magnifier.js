// A round inset that shows the still around the point being placed, larger, with cross-hairs. It
// stands in an upper corner of the stage and leaves it when the pointer comes near.

import { Pictures, cased, set, svg } from "./svg.js";

const TIMES = 4;
const LEAST_SCALE = 2;
const NEAR = 48;

export class Magnifier {
  #isLeft = true;

  constructor(root, still) {
    this.root = root;
    this.svg = root.querySelector("svg");
    this.caption = root.querySelector("[data-caption]");
    this.pictures = new Pictures(still);
    this.pictures.fetch();
    this.others = svg("g");
    this.hairs = svg("g", { class: "hairs" });
    this.svg.append(...this.pictures.images, this.others, this.hairs);
  }

  hide() {
    this.root.hidden = true;
  }

  // `point` in pixels of the still; `pointer` is the place of finger or mouse in the window, if any.
  show(stage, { point, label, pointer, points, frame }) {
    this.root.hidden = false;
    this.pictures.show(frame);
    this.#keepAway(stage, pointer ?? stage.windowPoint(point));
    const side = this.svg.clientWidth;
    const scale = Math.max(LEAST_SCALE, TIMES * stage.scale);
    const extent = side / scale;
    const [u, v] = point;
    set(this.svg, { viewBox: [u - extent / 2, v - extent / 2, extent, extent].join(" ") });
    const reach = side / 2;
    const hairs = `M${-reach} 0H-5M5 0H${reach}M0 ${-reach}V-5M0 5V${reach}`;
    set(this.hairs, { transform: `translate(${u} ${v}) scale(${1 / scale})` });
    this.hairs.replaceChildren(...cased(hairs, "pending"));
    this.others.replaceChildren(
      ...points.map(([cu, cv]) => svg("circle", { class: "other", cx: cu, cy: cv, r: 3 / scale })),
    );
    this.caption.textContent = label;
  }

  #keepAway(stage, [x, y]) {
    const frame = stage.root.getBoundingClientRect();
    const own = this.root.getBoundingClientRect();
    const isBelow = y > own.bottom + NEAR;
    const isNear = this.#isLeft ? x < own.right + NEAR : x > own.left - NEAR;
    if (isNear && !isBelow) this.#isLeft = x > frame.left + frame.width / 2;
    this.root.toggleAttribute("data-right", !this.#isLeft);
  }
}
