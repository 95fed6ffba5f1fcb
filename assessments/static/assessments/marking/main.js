// Puts the page together: the still, the marks on it, and everything that shows or changes them.

import { Draft, dropOldDrafts } from "./draft.js";
import { Marks } from "./marks.js";
import { Page } from "./page.js";
import { Saving } from "./saving.js";
import { Stage } from "./stage.js";
import { Viewport } from "./viewport.js";

start(JSON.parse(document.getElementById("marking-data").textContent));

function start(data) {
  const form = document.querySelector("[data-marking]");
  dropOldDrafts();
  const draft = new Draft(data.draft);
  const kept = draft.read(data.supersedes);
  const points = kept?.points ?? data.posted ?? data.current ?? {};
  const marks = new Marks(data.landmarks, { points, unconfirmed: kept?.unconfirmed });
  const viewport = new Viewport(data.still.width, data.still.height);
  const stage = new Stage(form.querySelector("[data-stage]"), data.still, viewport);
  const page = new Page(form, data, { marks, stage });
  page.saving = new Saving(form, marks, {
    draft,
    identity: identityOf(data, kept),
    saved: data.supersedes ? data.current : null,
    isRestored: kept !== null,
  });
  marks.addEventListener("change", () => page.update());
  new ResizeObserver(() => page.draw()).observe(stage.root);
  page.update();
  if (data.posted) page.saving.keep(); // refused: what was sent is a draft again
  form.setAttribute("data-ready", "");
}

// A draft goes on being the same entry, unless another has been saved in between.
function identityOf({ entryId, supersedes }, kept) {
  const isSame = kept && kept.supersedes === (supersedes ?? "");
  return { entryId: isSame ? kept.entryId : entryId, supersedes };
}
