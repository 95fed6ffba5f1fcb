// The parts of the page and what passes between them: the marks change, everything is drawn again.

import { Card } from "./card.js";
import { Keys } from "./keys.js";
import { Magnifier } from "./magnifier.js";
import { measure } from "./measures.js";
import { Pointer } from "./pointer.js";
import { PointList } from "./pointlist.js";
import { Values } from "./values.js";

export class Page {
  #aim = null;
  #result = null;

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
    this.card = new Card(form.querySelector("[data-now]"), marks, { nudged: () => this.#nudged() });
    this.list = new PointList(form.querySelector("[data-points]"), marks, { chosen: goTo });
    this.values = new Values(form.querySelector("[data-values]"), marks, data);
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

  // After the marks have changed.
  update() {
    const { data, marks } = this;
    this.#result = measure({
      points: marks.points,
      handedness: data.handedness,
      isTeed: marks.byKey.ground_contact?.required ?? false,
      width: data.still.width,
      height: data.still.height,
      clickSdPx: data.clickSdPx,
      placementSdMm: data.placementSdMm ?? {},
    });
    this.card.draw();
    this.list.draw();
    this.values.draw(this.#result);
    this.saving.draw();
    this.#followMark();
    this.draw();
  }

  // What was aimed at by key may have moved, or be gone.
  #followMark() {
    const target = this.#aim;
    if (!target || target.pointer || target.isPending) return;
    const point = this.marks.points[target.key];
    this.#aim = point ? { ...target, point } : null;
  }

  draw() {
    const target = this.#aim;
    this.stage.draw(this.marks, this.#result, target?.isPending ? target.point : null);
    if (target) this.#magnify(target);
    else this.magnifier.hide();
    this.tools.undo.disabled = !this.marks.canUndo;
    this.tools.redo.disabled = !this.marks.canRedo;
    this.tools.out.disabled = this.tools.whole.disabled = this.stage.viewport.isWhole;
  }

  #magnify({ point, key, pointer }) {
    const others = Object.entries(this.marks.points).filter(([other]) => other !== key);
    this.magnifier.show(this.stage, {
      point,
      pointer,
      label: this.marks.byKey[key].label,
      points: others.map(([, position]) => position),
    });
  }

  #nudged() {
    const key = this.marks.selected;
    this.stage.viewport.show(this.marks.points[key]);
    this.aim({ point: this.marks.points[key], key });
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
