// The wall on a projector, by keys or buttons: arrows, Home and End move along the row, B puts two
// beside each other, S sorts by the next measure, F fills the screen, Escape goes back.

const KEYS = {
  ArrowLeft: "back-one",
  ArrowUp: "back-one",
  PageUp: "back-one",
  ArrowRight: "on-one",
  ArrowDown: "on-one",
  PageDown: "on-one",
  " ": "on-one",
  Home: "first",
  End: "last",
  b: "beside",
  s: "measure",
  f: "screen",
  Escape: "leave",
};

class Presenter {
  constructor(main) {
    this.main = main;
    this.place = 0;
    this.isBeside = false;
    this.deeds = {
      "back-one": () => this.go(this.place - 1),
      "on-one": () => this.go(this.place + 1),
      first: () => this.go(0),
      last: () => this.go(this.slides.length - 1),
      beside: () => this.putBeside(!this.isBeside),
      measure: () => this.sortByNext(),
      screen: () => this.fillScreen(),
      leave: () => this.leave(),
    };
    document.body.classList.add("is-live");
    document.addEventListener("keydown", (event) => this.onKey(event));
    main.addEventListener("click", (event) => this.onClick(event));
    this.begin();
  }

  get slides() {
    return [...this.main.querySelectorAll("[data-slide]")];
  }

  get row() {
    return this.main.querySelector("[data-row]");
  }

  begin() {
    this.row.tabIndex = 0; // what scrolls must be reached by keys too
    for (const way of this.main.querySelectorAll("[data-do][hidden]")) {
      way.hidden = way.dataset.do === "screen" && !document.fullscreenEnabled;
    }
    this.putBeside(this.isBeside);
  }

  onKey(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const isPressing = event.key === " " && event.target.closest("button, a");
    const deed = KEYS[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!deed || isPressing) return;
    event.preventDefault();
    this.deeds[deed]();
  }

  onClick(event) {
    const way = event.target.closest("[data-do]");
    const slide = event.target.closest("[data-slide]");
    if (way && way.dataset.do !== "leave") {
      event.preventDefault();
      this.deeds[way.dataset.do]();
    } else if (slide) {
      this.go(this.slides.indexOf(slide));
    }
  }

  go(place) {
    const slides = this.slides;
    if (!slides.length) return;
    this.place = Math.max(0, Math.min(place, slides.length - 1));
    slides.forEach((slide, number) => {
      slide.toggleAttribute("data-on", this.isShown(number));
      if (number === this.place) slide.setAttribute("aria-current", "true");
      else slide.removeAttribute("aria-current");
    });
    slides[this.place].scrollIntoView({ block: "nearest", inline: "center" });
    const caption = slides[this.place].textContent.replace(/\s+/g, " ").trim();
    this.say(`${this.place + 1} of ${slides.length}: ${caption}`);
  }

  // With two beside each other the last one stands beside the one before it.
  isShown(number) {
    const isPaired = this.row.classList.contains("is-paired");
    if (isPaired) return number === this.place;
    const first = Math.max(0, Math.min(this.place, this.slides.length - 2));
    return number === first || number === first + 1;
  }

  putBeside(isBeside) {
    this.isBeside = isBeside;
    document.body.classList.toggle("is-beside", isBeside);
    this.main.querySelector("[data-do=beside]").setAttribute("aria-pressed", String(isBeside));
    this.go(this.place);
  }

  // The page is fetched and not gone to, because that would end the full screen.
  async sortByNext() {
    const address = this.main.querySelector("[data-do=measure]").href;
    try {
      const answer = await fetch(address);
      if (!answer.ok || answer.redirected) throw new Error(answer.statusText);
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      this.main.replaceChildren(...page.querySelector("[data-present]").childNodes);
      document.title = page.title;
      history.replaceState(null, "", address);
      this.place = 0;
      this.begin();
    } catch {
      location.assign(address);
    }
  }

  async fillScreen() {
    if (!document.fullscreenEnabled) return;
    if (document.fullscreenElement) await document.exitFullscreen();
    else await document.documentElement.requestFullscreen();
  }

  leave() {
    if (this.isBeside) this.putBeside(false);
    else location.assign(this.main.querySelector("[data-do=leave]").href);
  }

  say(words) {
    this.main.querySelector("[data-said]").textContent = words;
  }
}

new Presenter(document.querySelector("[data-present]"));
