// What is in the hand and what is said about it: on the screen, and aloud.

export class Tray {
  constructor(root) {
    const part = (name) => root.querySelector(`[data-${name}]`);
    this.sheet = part("tray");
    this.what = part("tray-what");
    this.said = part("tray-said");
    this.form = part("tray-form");
    this.giveUp = part("give-up");
    this.pin = part("pin");
    this.pinWord = part("pin-word");
    this.spoken = part("spoken");
  }

  get token() {
    return this.pin.elements.csrfmiddlewaretoken.value;
  }

  // Where it begins to cover the page.
  get top() {
    return this.sheet.getBoundingClientRect().top;
  }

  // Its buttons only take room while something is dragged.
  set isDragging(value) {
    this.sheet.toggleAttribute("data-dragging", value);
  }

  show(card) {
    const isPinned = card.dataset.pinned === "1";
    this.what.textContent = card.dataset.what;
    this.form.href = card.href;
    this.pin.elements.session.value = card.dataset.session;
    this.pin.elements.pinned.value = isPinned ? "0" : "1";
    this.pinWord.textContent = isPinned ? "Unpin it" : "Pin it here";
    this.sheet.hidden = false;
  }

  hide() {
    this.sheet.hidden = true;
  }

  say(words, fit = "") {
    this.said.textContent = words;
    this.said.dataset.fit = fit;
  }

  speak(words) {
    this.spoken.textContent = words;
  }
}
