// The parts of the page and what passes between them: the marks change, everything is drawn again.

import { Card } from "./card.js";
import { swapped } from "./checks.js";
import { frameOf } from "./frames.js";
import { Keys } from "./keys.js";
import { Magnifier } from "./magnifier.js";
import { measure, measureBetween } from "./measures.js";
import { Pointer } from "./pointer.js";
import { PointList } from "./pointlist.js";
import { Values } from "./values.js";
import { listed, sentence } from "./words.js";

export class Page {
  #aim = null;
  #drawn = null;

  constructor(form, data, { marks, stage }) {
    Object.assign(this, { form, data, marks, stage });
    const aim = (target) => this.aim(target);
    const redraw = () => this.draw();
    const zoom = (factor) => this.zoom(factor);
    const zoomOut = () => this.zoomOut();
    const goTo = (key) => {
      marks.choose(key);
      stage.svg.focus();
      if (marks.selected) this.#nudged();
    };
    new Keys(stage, marks, { aim, redraw, zoom, zoomOut }); // lets go before the pointer takes hold
    new Pointer(stage, marks, { aim, redraw });
    this.magnifier = new Magnifier(form.querySelector("[data-magnifier]"), data.still);
    this.card = new Card(form.querySelector("[data-now]"), marks, {
      nudged: () => this.#nudged(),
      start: data.start,
    });
    this.list = new PointList(form.querySelector("[data-points]"), marks, { chosen: goTo });
    const values = form.querySelector("[data-values]");
    const ballSdPx = data.scalePx ? data.scaleSdPx : data.clickSdPx;
    this.values = values && new Values(values, marks, { stepMm: data.stepMm, ballSdPx });
    this.order = form.querySelector("[data-order]");
    this.frames = this.#frames();
    this.tools = this.#tools({ zoom, zoomOut });
  }

  // What is being pointed at: {point, key, pointer, isPending}, or null.
  aim(target) {
    this.#aim = target;
    this.draw();
  }

  zoom(factor) {
    const { marks, stage } = this;
    const [left, top, width, height] = stage.viewport.box;
    const middle = [left + width / 2, top + height / 2];
    const focus = this.#aim?.point ?? marks.points[marks.selected] ?? middle;
    if (factor > 1) stage.viewport.centreOn(focus);
    stage.viewport.zoomAt(factor, focus);
    this.draw();
  }

  zoomOut() {
    this.stage.viewport.reset();
    this.draw();
  }

  // After the marks have changed. What is drawn is of the frame that is shown; what is said, of both.
  update() {
    const { marks } = this;
    const shown = { ...marks.lent, ...marks.in(marks.frame) };
    this.#drawn = measure(this.#still(shown));
    this.values?.draw(
      marks.hasTwoFrames
        ? measureBetween(this.#still(marks.in("at")), marks.in("before"))
        : this.#drawn,
    );
    this.card.draw();
    this.list.draw();
    this.saving.draw();
    this.#sayOrder(shown);
    this.#followMark();
    this.draw();
  }

  #still(points) {
    const { data, marks } = this;
    return {
      points,
      handedness: data.handedness,
      isTeed: "ground_contact" in marks.byKey,
      width: data.still.width,
      height: data.still.height,
      clickSdPx: data.clickSdPx,
      placementSdMm: data.placementSdMm ?? {},
      scalePx: data.scalePx,
      scaleSdPx: data.scaleSdPx,
    };
  }

  // Marks whose order speaks against the golfer's handedness.
  #sayOrder(points) {
    const { data, marks, order } = this;
    const pairs = swapped(points, data.handedness).map(
      ([trail, lead]) => `${marks.byKey[trail].label} is nearer the target than ${marks.byKey[lead].label}`,
    );
    const side = data.handedness === "left" ? "left" : "right";
    const why = `The golfer plays ${side}-handed, so the target is on the ${side} of the picture. Check the marks, the golfer, and whether the picture is flipped.`;
    order.hidden = !pairs.length;
    const said = pairs.length ? `${sentence(listed(pairs))}. ${why}` : "";
    if (order.textContent !== said) order.textContent = said;
  }

  // What was aimed at by key may have moved, or be gone.
  #followMark() {
    const target = this.#aim;
    if (!target || target.pointer || target.isPending) return;
    const point = this.marks.points[target.key];
    const isShown = point && frameOf(target.key) === this.marks.frame;
    this.#aim = isShown ? { ...target, point } : null;
  }

  draw() {
    const target = this.#aim;
    this.stage.draw(this.marks, this.#drawn, target?.isPending ? target.point : null);
    if (target) this.#magnify(target);
    else this.magnifier.hide();
    for (const [name, button] of this.frames) {
      button.setAttribute("aria-pressed", String(name === this.marks.frame));
    }
    this.tools.undo.disabled = !this.marks.canUndo;
    this.tools.redo.disabled = !this.marks.canRedo;
    this.tools.out.disabled = this.tools.whole.disabled = this.stage.viewport.isWhole;
  }

  #magnify({ point, key, pointer }) {
    const others = Object.entries(this.marks.shown).filter(([other]) => other !== key);
    this.magnifier.show(this.stage, {
      point,
      pointer,
      frame: this.marks.frame,
      label: this.marks.byKey[key].label,
      points: others.map(([, position]) => position),
    });
  }

  #nudged() {
    const key = this.marks.selected;
    this.stage.viewport.show(this.marks.points[key]);
    this.aim({ point: this.marks.points[key], key });
  }

  #frames() {
    return [...this.form.querySelectorAll("[data-frame]")].map((button) => {
      const name = button.dataset.frame;
      button.addEventListener("click", () => this.marks.turnTo(name));
      return [name, button];
    });
  }

  #tools({ zoom, zoomOut }) {
    const actions = {
      undo: () => this.marks.undo(),
      redo: () => this.marks.redo(),
      in: () => zoom(2),
      out: () => zoom(0.5),
      whole: zoomOut,
    };
    return Object.fromEntries(
      Object.entries(actions).map(([name, action]) => {
        const button = this.form.querySelector(`[data-tool=${name}]`);
        button.addEventListener("click", action);
        return [name, button];
      }),
    );
  }
}
