// Sends one still and says what became of it: {kind, words, url}. It never throws.
//
// kind "kept":    the server has it, `url` is where it is marked
//      "refused": it cannot be kept as it is, `words` say why and what to do
//      "taken":   as refused, and it needs a new number before it is sent again
//      "failed":  nobody knows; the same still can be sent again

const SIGNED_OUT =
  "You are signed out. Sign in again in another tab, then send once more; all is kept here.";

export async function send(url, fields) {
  const body = new FormData();
  for (const [name, value] of Object.entries(fields)) {
    if (value instanceof Blob) body.append(name, value, value.name ?? `${name}.jpg`);
    else body.append(name, value ?? "");
  }
  const headers = { Accept: "application/json", "X-CSRFToken": csrfToken() };
  try {
    return await verdictOf(await fetch(url, { method: "POST", body, headers }));
  } catch {
    return failed("The network did not carry it.");
  }
}

async function verdictOf(answer) {
  if (answer.redirected || answer.status === 403) return { kind: "failed", words: [SIGNED_OUT] };
  if (answer.status === 404) return failed("You do not teach here any more, or the golfer left.");
  if (answer.status === 201) return { kind: "kept", words: [], ...(await answer.json()) };
  if (answer.status === 409) return { kind: "taken", words: (await answer.json()).errors };
  if (answer.status === 422) return { kind: "refused", words: (await answer.json()).errors };
  return failed(`The server could not take it (${answer.status}).`);
}

const failed = (why) => ({ kind: "failed", words: [`${why} It is kept here: send it again.`] });

// From the cookie and not from the page: signing in again in another tab changes it.
function csrfToken() {
  return document.cookie.match(/(?:^|; )csrftoken=([^;]*)/)?.[1] ?? "";
}
