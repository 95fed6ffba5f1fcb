// The frames of a still: "at" the strike, which every still has, and maybe "before" it. A mark of
// the frame before is known on the page by a key of its own.

const BEFORE = "before:";

export const inBefore = (key) => BEFORE + key;
export const frameOf = (key) => (key.startsWith(BEFORE) ? "before" : "at");
export const plain = (key) => (key.startsWith(BEFORE) ? key.slice(BEFORE.length) : key);

// Of marks by key of the page, those of one frame by their plain key.
export function marksIn(points, frame) {
  const own = Object.entries(points).filter(([key]) => frameOf(key) === frame);
  return Object.fromEntries(own.map(([key, point]) => [plain(key), point]));
}
