// Which part of the still is on screen. All positions are pixels of the full still.

const MOST_ZOOM = 12;

export class Viewport {
  #centre;

  constructor(width, height) {
    this.size = [width, height];
    this.reset();
  }

  get isWhole() {
    return this.zoom === 1;
  }

  // Left, top, width and height of the visible part.
  get box() {
    const extent = this.size.map((side) => side / this.zoom);
    return [...this.#centre.map((middle, i) => middle - extent[i] / 2), ...extent];
  }

  reset() {
    this.zoom = 1;
    this.#centre = this.size.map((side) => side / 2);
  }

  // Zooms so that the point stays where it is on screen.
  zoomAt(factor, point) {
    const before = this.zoom;
    this.zoom = Math.min(MOST_ZOOM, Math.max(1, this.zoom * factor));
    const kept = before / this.zoom;
    this.#centre = this.#centre.map((middle, i) => point[i] + (middle - point[i]) * kept);
    this.#stayInside();
  }

  pan(du, dv) {
    this.#centre = [this.#centre[0] + du, this.#centre[1] + dv];
    this.#stayInside();
  }

  centreOn(point) {
    this.#centre = [...point];
    this.#stayInside();
  }

  // Moves the least that brings the point inside a margin of the visible part.
  show(point) {
    const [left, top, width, height] = this.box;
    const shift = [[left, width], [top, height]].map(([start, extent], i) => {
      const margin = extent / 8;
      const low = point[i] - (start + margin);
      const high = point[i] - (start + extent - margin);
      return Math.min(0, low) + Math.max(0, high);
    });
    this.pan(...shift);
  }

  #stayInside() {
    this.#centre = this.#centre.map((middle, i) => {
      const half = this.size[i] / this.zoom / 2;
      return Math.min(this.size[i] - half, Math.max(half, middle));
    });
  }
}
