// Forms kept in this browser: {id, at, values}, one an entry, under the page they belong to. Where
// a browser keeps nothing, all of this does nothing.

const PREFIX = "marram-form ";
const KEPT_FOR_MS = 30 * 24 * 3600 * 1000;

export class Kept {
  #prefix;

  constructor(page) {
    this.#prefix = `${PREFIX}${page} `;
  }

  // When it was kept; null if this browser keeps nothing.
  write(id, values) {
    const at = Date.now();
    try {
      localStorage.setItem(this.#prefix + id, JSON.stringify({ id, at, values }));
      return at;
    } catch {
      return null;
    }
  }

  forget(id) {
    drop((key) => key === this.#prefix + id);
  }

  // Newest last.
  all() {
    return stored(this.#prefix).sort((a, b) => a.at - b.at);
  }

  // The server has the entry, whichever page it was typed on.
  static sent(id) {
    drop((key) => key.endsWith(` ${id}`));
  }
}

// Forms nobody came back to would fill the device in the end.
export function dropOldOnes() {
  const old = stored(PREFIX).filter(({ at }) => !(Date.now() - at < KEPT_FOR_MS));
  for (const { id } of old) Kept.sent(id);
}

function stored(prefix) {
  try {
    return Object.keys(localStorage)
      .filter((key) => key.startsWith(prefix))
      .map((key) => JSON.parse(localStorage.getItem(key)));
  } catch {
    return [];
  }
}

function drop(isMeant) {
  try {
    const keys = Object.keys(localStorage).filter((key) => key.startsWith(PREFIX));
    for (const key of keys.filter(isMeant)) localStorage.removeItem(key);
  } catch {
    // a browser that keeps nothing has nothing to drop
  }
}
