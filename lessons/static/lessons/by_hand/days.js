// The tabs of the days. All days are in the page; one is shown.

export class Days {
  constructor(root) {
    this.panels = [...root.querySelectorAll("[data-day]")];
    this.tabs = [...document.querySelectorAll("[data-day-tab]")];
    for (const tab of this.tabs) {
      tab.addEventListener("click", (event) => {
        if (event.ctrlKey || event.metaKey || event.shiftKey) return;
        event.preventDefault();
        this.show(Number(tab.dataset.dayTab));
      });
    }
  }

  get shown() {
    return this.panels.findIndex((panel) => !panel.hidden);
  }

  // The day of a tab under the pointer, or -1.
  under({ clientX, clientY }) {
    const tab = document.elementFromPoint(clientX, clientY)?.closest("[data-day-tab]");
    return tab ? Number(tab.dataset.dayTab) : -1;
  }

  show(day) {
    if (!(day in this.panels) || day === this.shown) return;
    this.panels.forEach((panel, index) => (panel.hidden = index !== day));
    for (const [index, tab] of this.tabs.entries()) {
      if (index === day) tab.setAttribute("aria-current", "page");
      else tab.removeAttribute("aria-current");
    }
    this.#remember(day + 1);
  }

  // What leads away from here and back again comes back to this day.
  #remember(number) {
    history.replaceState(null, "", withDay(location.href, number));
    for (const link of document.querySelectorAll("[data-keep-day]")) {
      link.href = withDay(link.href, number);
    }
    for (const field of document.querySelectorAll("[data-shown-day]")) field.value = number;
  }
}

export function withDay(href, number) {
  const url = new URL(href);
  url.searchParams.set("day", number);
  url.hash = "";
  return url.href;
}
