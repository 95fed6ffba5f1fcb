// Mouse, pen and touch on the stage. A click or tap places the landmark that is meant next; a drag
// moves a mark; two fingers zoom and pan. Under a finger the mark is lifted clear of it.

const LIFT = 56;
const BY_MOUSE = { slop: 3, reach: 8, reachWhenDone: 10 };
const BY_TOUCH = { slop: 8, reach: 14, reachWhenDone: 28 };

let gestures = 0;

export class Pointer {
  #down = new Map();
  #gesture = null;

  // `aim` is told the point being placed or moved ({point, key, pointer, isPending}), or null;
  // `redraw` that the viewport has changed.
  constructor(stage, marks, { aim, redraw }) {
    Object.assign(this, { stage, marks, aim, redraw });
    const target = stage.svg;
    target.addEventListener("pointerdown", (event) => this.#press(event));
    target.addEventListener("pointermove", (event) => this.#move(event));
    target.addEventListener("pointerup", (event) => this.#lift(event));
    target.addEventListener("pointercancel", (event) => this.#cancel(event));
    target.addEventListener("pointerleave", (event) => {
      if (!this.#down.has(event.pointerId)) this.aim(null);
    });
    target.addEventListener("dragstart", (event) => event.preventDefault());
    target.addEventListener("wheel", (event) => this.#wheel(event), { passive: false });
  }

  #press(event) {
    if (event.button > 1) return;
    if (event.button === 1) event.preventDefault(); // or the browser scrolls by itself
    this.stage.svg.setPointerCapture(event.pointerId);
    const place = placeOf(event);
    this.#down.set(event.pointerId, place);
    if (this.#down.size === 2) {
      this.#drop();
      this.#gesture = { kind: "pinch", ...this.#fingers() };
    } else if (event.button === 1) {
      this.#gesture = { kind: "pan", place };
    } else {
      const means = event.pointerType === "touch" ? BY_TOUCH : BY_MOUSE;
      const reach = this.marks.next ? means.reach : means.reachWhenDone;
      const hit = this.stage.hit(this.marks.shown, place, reach);
      this.#gesture = { kind: "press", place, means, hit };
      this.#follow(event);
    }
  }

  #move(event) {
    if (this.#down.has(event.pointerId)) this.#down.set(event.pointerId, placeOf(event));
    this.#follow(event);
  }

  #follow(event) {
    const place = placeOf(event);
    const gesture = this.#gesture;
    if (!gesture) this.#hover(place);
    else if (gesture.kind === "press") this.#leavePress(gesture, place);
    else if (gesture.kind === "drag") this.#drag(gesture, place);
    else if (gesture.kind === "pan") this.#pan(gesture, place);
    else this.#pinch(gesture);
  }

  #hover(place) {
    const { next } = this.marks;
    this.aim(next && { point: this.stage.stillPoint(place), key: next, pointer: place });
  }

  #leavePress(gesture, place) {
    const [dx, dy] = [place[0] - gesture.place[0], place[1] - gesture.place[1]];
    if (Math.hypot(dx, dy) < gesture.means.slop) {
      this.#hover(gesture.place);
      return;
    }
    const key = gesture.hit ?? this.marks.next;
    this.#gesture = key ? this.#dragOf(key, gesture) : { kind: "pan", place: gesture.place };
    this.#follow({ clientX: place[0], clientY: place[1] });
  }

  #dragOf(key, press) {
    gestures += 1;
    const offset = this.#offset(press);
    return { kind: "drag", key, isNew: !press.hit, offset, tag: `drag ${gestures}` };
  }

  // From the pointer to the mark, in screen pixels.
  #offset({ place, means, hit }) {
    const [x, y] = hit ? this.stage.windowPoint(this.marks.points[hit]) : place;
    const offset = [x - place[0], y - place[1]];
    return means === BY_TOUCH ? [offset[0], Math.min(offset[1], -LIFT)] : offset;
  }

  #drag(gesture, place) {
    const { key, isNew, offset, tag } = gesture;
    const point = this.stage.stillPoint([place[0] + offset[0], place[1] + offset[1]]);
    gesture.point = point;
    if (!isNew) this.marks.move(key, point, tag);
    this.aim({ point, key, pointer: place, isPending: isNew });
  }

  #pan(gesture, place) {
    const { scale, viewport } = this.stage;
    viewport.pan((gesture.place[0] - place[0]) / scale, (gesture.place[1] - place[1]) / scale);
    gesture.place = place;
    this.redraw();
  }

  #pinch(gesture) {
    if (this.#down.size < 2) return;
    const { middle, spread } = this.#fingers();
    this.stage.viewport.zoomAt(spread / gesture.spread, this.stage.stillPoint(gesture.middle));
    this.#pan({ place: gesture.middle }, middle);
    Object.assign(gesture, { middle, spread });
  }

  #fingers() {
    const [[ax, ay], [bx, by]] = [...this.#down.values()];
    return { middle: [(ax + bx) / 2, (ay + by) / 2], spread: Math.hypot(bx - ax, by - ay) || 1 };
  }

  #lift(event) {
    if (!this.#down.delete(event.pointerId)) return;
    const gesture = this.#gesture;
    if (gesture?.kind === "pinch" && this.#down.size) return;
    this.#gesture = null;
    this.aim(null);
    if (gesture?.kind === "press") this.#tap(gesture);
    else if (gesture?.kind === "drag" && gesture.isNew) this.marks.place(gesture.key, gesture.point);
    if (event.pointerType === "mouse") this.#hover(placeOf(event));
  }

  #tap({ place, hit }) {
    const { next } = this.marks;
    if (next) this.marks.place(next, this.stage.stillPoint(place));
    else if (hit) this.marks.select(hit);
  }

  #cancel(event) {
    this.#down.delete(event.pointerId);
    this.#drop();
  }

  // Ends a gesture as if it had not begun.
  #drop() {
    if (this.#gesture?.kind === "drag" && !this.#gesture.isNew) this.marks.abandon(this.#gesture.tag);
    this.#gesture = null;
    this.aim(null);
  }

  #wheel(event) {
    const { viewport } = this.stage;
    if (event.ctrlKey) {
      viewport.zoomAt(Math.exp(-event.deltaY / 200), this.stage.stillPoint(placeOf(event)));
    } else if (!viewport.isWhole) {
      viewport.pan(event.deltaX / this.stage.scale, event.deltaY / this.stage.scale);
    } else {
      return; // the page scrolls
    }
    event.preventDefault();
    this.redraw();
  }
}

const placeOf = ({ clientX, clientY }) => [clientX, clientY];
