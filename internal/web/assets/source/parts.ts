// Taking parts of a page over from a fresh copy of it.

/** Fetches a page; throws when the bench cannot be reached. */
export async function page(url: string, init: RequestInit = {}): Promise<{ answer: Response; fresh: Document }> {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), 15000);
  try {
    const answer = await fetch(url, { credentials: "same-origin", signal: stop.signal, ...init });
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    return { answer, fresh };
  } finally {
    clearTimeout(timer);
  }
}

/** Says something to all who look and to all who listen. */
export function say(text: string): void {
  const said = document.getElementById("said");
  if (said) said.textContent = text;
}

/** Tells whether someone is typing within an element. */
export function busy(element: Element): boolean {
  const at = document.activeElement;
  return !!at && element.contains(at) && /^(INPUT|TEXTAREA|SELECT)$/.test(at.tagName) || !!element.querySelector("dialog[open]");
}

/** Puts a fresh part in place of the one with the same id, with the focus where it was. */
export function replacePart(old: Element, fresh: Document): void {
  const next = fresh.getElementById(old.id);
  if (!next) {
    old.remove();
    return;
  }
  const focused = document.activeElement instanceof HTMLElement && old.contains(document.activeElement) ? document.activeElement.id : "";
  const open = [...old.querySelectorAll("details[open][id]")].map((d) => d.id);
  const taken = document.importNode(next, true);
  old.replaceWith(taken);
  open.forEach((id) => document.getElementById(id)?.setAttribute("open", ""));
  if (focused) document.getElementById(focused)?.focus();
  document.dispatchEvent(new CustomEvent("parts", { detail: taken }));
}

/** Shows a whole fresh page, as following a link would. */
export function turnTo(fresh: Document, url: string): void {
  const same = url.split("#")[0] === location.href.split("#")[0];
  document.title = fresh.title;
  document.body.replaceWith(document.importNode(fresh.body, true));
  if (same) history.replaceState({ turned: true }, "", url);
  else {
    history.pushState({ turned: true }, "", url);
    scrollTo(0, 0);
  }
  const wrong = document.querySelector<HTMLElement>("[aria-invalid=true]");
  (wrong ?? document.getElementById("screen"))?.focus();
  document.dispatchEvent(new CustomEvent("parts", { detail: document.body }));
}
