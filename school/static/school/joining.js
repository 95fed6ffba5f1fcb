// Small helps of the enrolment pages. Without this script the guardian's fields are always
// there, and a link is copied by hand.

for (const part of document.querySelectorAll("[data-guardian]")) {
  const born = part.form.elements.namedItem("birth_date");
  const show = () => {
    part.hidden = !isMinor(born.value, part.dataset.firstDay);
  };
  born.addEventListener("input", show);
  show();
}

for (const field of document.querySelectorAll("[data-copy]")) {
  const button = field.querySelector("button");
  button.hidden = !navigator.clipboard;
  button.addEventListener("click", async () => {
    await navigator.clipboard.writeText(field.querySelector("input").value);
    field.querySelector("[role=status]").textContent = "Copied";
  });
}

// Both days as the fields have them, 2013-06-03: eighteen years later as text is the birthday.
function isMinor(born, firstDay) {
  const adultOn = `${Number(born.slice(0, 4)) + 18}${born.slice(4)}`;
  return born !== "" && adultOn > firstDay;
}
