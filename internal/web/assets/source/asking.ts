// Forms that are answered while one types, words that one press fills in, and
// parts that are taken anew as time goes by.
import { busy, page, replacePart } from "./parts";

let asked = 0;
let timer = 0;

/** Asks what a form would be answered, and shows that in its part. */
async function ask(form: HTMLFormElement): Promise<void> {
  const mine = ++asked;
  const url = new URL(form.getAttribute("action") || location.href, location.href);
  url.search = "";
  for (const [name, value] of new FormData(form)) if (typeof value === "string" && value !== "" && name !== "key") url.searchParams.append(name, value);
  try {
    const { answer, fresh } = await page(url.href);
    const old = document.getElementById(form.dataset.asks ?? "");
    if (mine === asked && answer.ok && old && fresh.getElementById(old.id)) replacePart(old, fresh);
  } catch { /* the bench is not there; sending says so */ }
}

async function tick(): Promise<void> {
  const due = [...document.querySelectorAll<HTMLElement>("[data-ticks][id]")].filter((part) => !busy(part));
  if (!due.length || document.hidden) return;
  try {
    const { answer, fresh } = await page(location.href);
    if (answer.ok) due.forEach((part) => { if (part.isConnected && !busy(part)) replacePart(part, fresh); });
  } catch { /* next time */ }
}

/** Runs what is asked while one types. */
export function asking(): void {
  document.addEventListener("input", (event) => {
    const form = (event.target as HTMLElement).closest<HTMLFormElement>("form[data-asks]");
    if (!form) return;
    clearTimeout(timer);
    timer = window.setTimeout(() => void ask(form), 250);
  });
  document.addEventListener("click", (event) => {
    const key = (event.target as HTMLElement).closest<HTMLElement>("[data-sets]");
    const field = key && document.getElementById(key.dataset.sets ?? "");
    if (!(field instanceof HTMLInputElement)) return;
    field.value = key?.dataset.word ?? "";
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
  setInterval(() => void tick(), 5000);
}
