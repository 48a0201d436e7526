// Forms: nothing that was typed is lost, whatever happens on the way.
import { page, replacePart, say, turnTo } from "./parts";
import { hold } from "./outbox";

/** Makes a fresh key: an entry with the same key is taken in once only. */
export function freshKey(): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
}

const draftName = (form: HTMLFormElement) => `draft ${location.pathname} ${form.id}`;

function drafted(form: HTMLFormElement): boolean {
  return form.method === "post" && form.id !== "";
}

/** Keeps what is typed in a form with an id until it has been sent. */
function keepDraft(form: HTMLFormElement): void {
  if (!drafted(form)) return;
  const values: Record<string, string> = {};
  for (const field of form.elements) {
    if ((field instanceof HTMLInputElement && /^(text|date|number)$/.test(field.type)) || field instanceof HTMLTextAreaElement || field instanceof HTMLSelectElement) {
      const written = field instanceof HTMLSelectElement ? [...field.options].find((o) => o.defaultSelected)?.value ?? field.options[0]?.value : field.defaultValue;
      if (field.name && field.value !== written) values[field.name] = field.value;
    }
  }
  try {
    if (Object.keys(values).length) localStorage.setItem(draftName(form), JSON.stringify(values));
    else localStorage.removeItem(draftName(form));
  } catch { /* a full store loses the draft, not the form */ }
}

function takeDraft(form: HTMLFormElement): void {
  if (!drafted(form) || form.querySelector("[aria-invalid=true]")) return;
  const text = localStorage.getItem(draftName(form));
  if (!text) return;
  const values = JSON.parse(text) as Record<string, string>;
  for (const [name, value] of Object.entries(values)) {
    const field = form.elements.namedItem(name);
    if (field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement || field instanceof HTMLSelectElement) field.value = value;
  }
}

function busyButton(form: HTMLFormElement, by: HTMLElement | null, is: boolean): void {
  const button = by ?? form.querySelector("button:not([type=button])");
  if (is) button?.setAttribute("aria-busy", "true");
  else button?.removeAttribute("aria-busy");
}

async function send(form: HTMLFormElement, by: HTMLElement | null): Promise<void> {
  const data = new FormData(form, by);
  const button = by as HTMLButtonElement | null;
  const url = new URL(button?.getAttribute("formaction") || form.getAttribute("action") || location.href, location.href);
  const part = form.dataset.part ?? "";
  busyButton(form, by, true);
  try {
    if (form.method === "get") {
      url.search = "";
      for (const [name, value] of data) if (typeof value === "string" && value !== "") url.searchParams.append(name, value);
      const { answer, fresh } = await page(url.href);
      const old = part && document.getElementById(part);
      if (old && fresh.getElementById(part)) {
        form.querySelectorAll<HTMLElement>(".field").forEach((field) => {
          const input = field.querySelector("[id]");
          const next = input && fresh.getElementById(input.id)?.closest(".field");
          if (next) field.replaceWith(document.importNode(next, true));
        });
        replacePart(old, fresh);
        history.replaceState({ turned: true }, "", answer.url);
        const wrong = form.querySelector<HTMLElement>("[aria-invalid=true]");
        if (wrong) {
          for (let d = wrong.closest("details"); d; d = d.parentElement?.closest("details") ?? null) d.open = true;
          wrong.focus();
        } else document.getElementById(part)?.scrollIntoView({ block: innerWidth < 1120 ? "start" : "nearest" });
      } else turnTo(fresh, answer.url);
      return;
    }
    const files = form.enctype === "multipart/form-data";
    const body = files ? data : new URLSearchParams([...data].map(([n, v]) => [n, String(v)]));
    const { answer, fresh } = await page(url.href, { method: "POST", body });
    if (answer.status === 401 || answer.status === 429 || answer.status >= 500) {
      say(fresh.querySelector("main p")?.textContent ?? "The bench refused it; what you typed is still here.");
      return;
    }
    if (answer.ok) localStorage.removeItem(draftName(form));
    turnTo(fresh, answer.redirected || answer.ok ? answer.url : location.href);
  } catch {
    if (form.dataset.outbox !== undefined) {
      await hold(url.href, data, form.enctype === "multipart/form-data", form.dataset.outbox);
      localStorage.removeItem(draftName(form));
      form.reset();
      form.querySelectorAll<HTMLInputElement>("[data-key]").forEach((k) => { k.value = freshKey(); });
      say("Kept here. It will be sent when the bench answers again.");
    } else say("The bench does not answer. What you typed is still here; try again in a moment.");
  } finally {
    busyButton(form, by, false);
  }
}

/** Takes the forms of the page over. */
export function forms(): void {
  document.addEventListener("submit", (event) => {
    const form = event.target as HTMLFormElement;
    if (event.defaultPrevented || form.method === "dialog" || form.target) return;
    if (form.method === "get" && !form.dataset.part) return;
    event.preventDefault();
    const by = event.submitter as HTMLElement | null;
    if ((by ?? form).getAttribute("aria-busy") === "true") return;
    void send(form, by);
  });
  document.addEventListener("input", (event) => {
    const form = (event.target as HTMLInputElement).form;
    if (form) keepDraft(form);
  });
  const arrive = () => document.querySelectorAll("form").forEach((form) => takeDraft(form));
  document.addEventListener("parts", arrive);
  arrive();
}
