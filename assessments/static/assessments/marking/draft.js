// Marks that have not been saved yet, kept on this device. One draft a still and a
// purpose: it remembers which entry it will be and which one it corrects, so that sending it twice
// records it once.

const PREFIX = "marram-marks ";
const KEPT_FOR_MS = 30 * 24 * 3600 * 1000;

export class Draft {
  #key;

  constructor(name) {
    this.#key = PREFIX + name;
  }

  // What is kept and not yet saved: {points, unconfirmed, entryId, supersedes}, or null.
  read(savedEntryId) {
    const draft = this.#stored();
    if (draft && draft.entryId === savedEntryId) this.forget();
    return draft && draft.entryId !== savedEntryId ? draft : null;
  }

  // False if this browser keeps nothing.
  write({ points, unconfirmed }, { entryId, supersedes }) {
    try {
      const own = { entryId, supersedes: supersedes || "", at: Date.now() };
      const draft = { points, unconfirmed, ...own };
      localStorage.setItem(this.#key, JSON.stringify(draft));
      return true;
    } catch {
      return false;
    }
  }

  forget() {
    try {
      localStorage.removeItem(this.#key);
    } catch {
      // then nothing was kept either
    }
  }

  #stored() {
    try {
      return JSON.parse(localStorage.getItem(this.#key));
    } catch {
      return null;
    }
  }
}

// Drafts nobody came back to would fill the device in the end.
export function dropOldDrafts() {
  try {
    for (const key of Object.keys(localStorage).filter((name) => name.startsWith(PREFIX))) {
      const { at } = JSON.parse(localStorage.getItem(key));
      if (!(Date.now() - at < KEPT_FOR_MS)) localStorage.removeItem(key);
    }
  } catch {
    // a browser that keeps nothing has nothing to drop
  }
}
