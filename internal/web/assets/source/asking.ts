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
    if (mine !== asked || !answer.ok) return;
    for (const id of (form.dataset.asks ?? "").split(" ")) {
      const old = document.getElementById(id);
      if (old && fresh.getElementById(id)) replacePart(old, fresh);
    }
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

/** Shows beside the suspects what the answers of a test would make of them. */
function preview(event: Event): void {
  const over = document.getElementById("preview");
  if (!over) return;
  const test = (event.target as HTMLElement).closest<HTMLElement>("[data-previews]");
  const answers = event.type === "pointerout" || event.type === "focusout" ? null : test?.querySelector(".preview");
  over.replaceChildren();
  if (!answers || test?.querySelector("details[open]") || (event as PointerEvent).pointerType === "touch") return;
  const card = document.createElement("div");
  card.className = "card";
  const title = document.createElement("p");
  title.className = "next-title";
  title.textContent = test?.querySelector(".name")?.textContent ?? "";
  card.append(title, answers.cloneNode(true));
  over.append(card);
}

/** Takes the place that was tapped on a picture into the fields x and y. */
function mark(event: MouseEvent): void {
  const picture = (event.target as Element).closest<SVGSVGElement>("svg[data-marks]");
  if (!picture) return;
  const box = picture.getBoundingClientRect();
  const x = (event.clientX - box.left) / box.width, y = (event.clientY - box.top) / box.height;
  for (const [name, value] of [["x", x], ["y", y]] as const) {
    const field = document.getElementById("field-" + name);
    if (field instanceof HTMLInputElement) field.value = (100 * value).toFixed(1);
  }
  const { width, height } = picture.viewBox.baseVal;
  const arm = width / 30;
  picture.querySelector("[data-cross]")?.setAttribute("d", `M${x * width - arm} ${y * height} h${2 * arm} M${x * width} ${y * height - arm} v${2 * arm}`);
  document.getElementById("field-name")?.focus();
}

/** Leads from a part of a drawn circuit to what is said of it. */
function choosePart(event: Event): void {
  const part = (event.target as Element).closest<SVGGElement>(".schematic [data-part]");
  if (!part) return;
  const of = [...document.querySelectorAll<HTMLAnchorElement>("a[data-of]")].find((a) => a.dataset.of === part.dataset.part);
  of?.click();
}

/** Brings the screen that one is on into view in the row of screens. */
function hereInRow(): void {
  const here = document.querySelector<HTMLElement>(".tabs [aria-current=page]"), row = here?.closest<HTMLElement>(".tabs");
  if (here && row) row.scrollLeft = here.offsetLeft - row.offsetLeft - (row.clientWidth - here.clientWidth) / 2;
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
  document.addEventListener("click", mark);
  document.addEventListener("click", choosePart);
  document.addEventListener("keydown", (event) => { if (event.key === "Enter") choosePart(event); });
  for (const type of ["pointerover", "pointerout", "focusin", "focusout"]) document.addEventListener(type, preview);
  document.addEventListener("parts", hereInRow);
  hereInRow();
  setInterval(() => void tick(), 5000);
}
