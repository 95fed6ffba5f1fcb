// Paper in the sun, dark on a projector: the device decides until the person does. Runs before the
// page is drawn, so that nothing flashes.
(() => {
  const KEY = "marram-light";
  const device = window.matchMedia("(prefers-color-scheme: dark)");

  const chosen = () => {
    try {
      return localStorage.getItem(KEY) || "device";
    } catch {
      return "device"; // storage may be forbidden; the device's own setting still holds
    }
  };

  const apply = () => {
    const choice = chosen();
    const theme = choice === "device" ? (device.matches ? "dark" : "light") : choice;
    document.documentElement.dataset.bsTheme = theme;
    for (const radio of document.querySelectorAll("input[name=light]")) {
      radio.checked = radio.value === choice;
    }
  };

  apply();
  device.addEventListener("change", apply);
  document.addEventListener("DOMContentLoaded", () => {
    const chooser = document.querySelector("[data-light-chooser]");
    if (!chooser) return;
    chooser.hidden = false;
    chooser.addEventListener("change", (event) => {
      try {
        localStorage.setItem(KEY, event.target.value);
      } catch {
        return;
      }
      apply();
    });
    apply();
  });
})();
