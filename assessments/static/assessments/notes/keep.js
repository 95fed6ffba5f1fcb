// What is typed into a form is kept on this device until the server has it.
//
// A form marked `data-keep` is kept under the id of the entry it will be; the mark names the page
// it belongs to. Whoever comes back to that page is offered what was not sent. A page that shows an
// entry (`data-kept-id`) says that the server has it, and a form that was given a new id after a
// conflict (`data-keep-was`) takes the place of the old one.

import { Kept, dropOldOnes } from "./kept.js";
import { countWords } from "./words.js";

const FEW_WORDS = 8;

function fieldsOf(form) {
  return [...form.elements].filter((one) => one.name && !UNKEPT.has(one.type) && !isSecret(one));
}

const UNKEPT = new Set(["submit", "button", "fieldset", "file", "password", "output"]);

function isSecret(field) {
  return field.name === "csrfmiddlewaretoken";
}

function valuesOf(form) {
  return fieldsOf(form)
    .filter((one) => !(one.type === "radio" || one.type === "checkbox") || one.checked)
    .map((one) => [one.name, one.value]);
}

function fill(form, values) {
  const left = new Map();
  for (const [name, value] of values) left.set(name, [...(left.get(name) ?? []), value]);
  for (const field of fieldsOf(form)) {
    const wanted = left.get(field.name) ?? [];
    if (field.type === "radio" || field.type === "checkbox") {
      field.checked = wanted.includes(field.value);
    } else if (wanted.length) {
      field.value = wanted.shift();
      if (field.value && field.type !== "hidden") field.closest("details")?.setAttribute("open", "");
    }
    if (field.type !== "hidden") field.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

function clock(at) {
  return new Date(at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}

function day(at) {
  const isToday = new Date(at).toDateString() === new Date().toDateString();
  return isToday ? "" : `${new Date(at).toLocaleDateString("en-GB", { day: "numeric", month: "long" })}, `;
}

function firstWords(values) {
  const longest = values
    .filter(([name]) => name !== "entry_id" && name !== "supersedes")
    .map(([, value]) => value)
    .sort((a, b) => b.length - a.length)[0];
  const words = (longest ?? "").trim().split(/\s+/);
  return words.length > FEW_WORDS ? `${words.slice(0, FEW_WORDS).join(" ")} …` : words.join(" ");
}

function say(form, words) {
  const line = form.querySelector(".kept");
  if (line && line.textContent !== words) line.textContent = words;
}

function watch(form, kept) {
  const keep = () => {
    const id = form.elements.entry_id.value;
    const at = kept.write(id, valuesOf(form));
    say(
      form,
      at === null
        ? "Nothing is kept in this browser: save before you close the page."
        : `Kept on this device at ${clock(at)}.`,
    );
  };
  form.addEventListener("input", keep);
  form.addEventListener("change", keep);
  return keep;
}

function button(words, className, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = `btn ${className}`;
  made.textContent = words;
  made.addEventListener("click", act);
  return made;
}

function offer(form, kept, draft) {
  const box = document.createElement("div");
  box.className = "kept-offer";
  box.setAttribute("role", "group");
  const words = document.createElement("p");
  words.textContent = `Not saved yet, kept on this device at ${day(draft.at)}${clock(draft.at)}: “${firstWords(draft.values)}”`;
  box.setAttribute("aria-label", "Not saved yet");
  const back = button("Bring it back", "btn-secondary", () => {
    fill(form, draft.values);
    box.remove();
    form.querySelector("textarea, input:not([type=hidden])")?.focus();
  });
  const away = button("Throw it away", "btn-link", () => {
    kept.forget(draft.id);
    box.remove();
  });
  box.append(words, back, away);
  form.before(box);
}

function isTouched(form) {
  return fieldsOf(form).some((one) =>
    one.type === "radio" || one.type === "checkbox"
      ? one.checked !== one.defaultChecked
      : one.type !== "hidden" && one.defaultValue !== undefined && one.value !== one.defaultValue,
  );
}

function isSame(form, draft) {
  const shown = JSON.stringify(withoutIds(valuesOf(form)));
  return shown === JSON.stringify(withoutIds(draft.values));
}

function withoutIds(values) {
  return values.filter(([name]) => name !== "entry_id" && name !== "supersedes");
}

dropOldOnes();
for (const shown of document.querySelectorAll("[data-kept-id]")) Kept.sent(shown.dataset.keptId);
for (const form of document.querySelectorAll("form[data-keep]")) {
  const kept = new Kept(form.dataset.keep);
  const keep = watch(form, kept);
  if (form.dataset.keepWas) {
    kept.forget(form.dataset.keepWas);
    keep();
  }
  if (isTouched(form)) keep(); // on a slow device somebody types before this runs
  const id = form.elements.entry_id.value;
  for (const draft of kept.all().filter((one) => one.id !== id)) {
    if (isSame(form, draft)) kept.forget(draft.id);
    else offer(form, kept, draft);
  }
}
countWords();
