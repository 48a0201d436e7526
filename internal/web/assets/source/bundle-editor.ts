// The editor of sheets: line numbers with marks at mistakes, checks while one
// types, keys.
import { page, replacePart } from "./parts";

function editor(): HTMLTextAreaElement | null {
  return document.querySelector<HTMLTextAreaElement>("[data-editor]");
}

function mistakes(): { line: number; column: number; text: string }[] {
  return [...document.querySelectorAll<HTMLElement>("#checked [data-line]")].map((li) => ({
    line: Number(li.dataset.line), column: Number(li.dataset.column), text: li.textContent?.trim() ?? "",
  }));
}

function gutter(): void {
  const area = editor();
  const list = document.querySelector<HTMLElement>(".gutter");
  if (!area || !list) return;
  const bad = new Set(mistakes().map((m) => m.line));
  const lines = area.value.split("\n").length;
  while (list.children.length < lines) list.append(document.createElement("li"));
  while (list.children.length > lines) list.lastElementChild?.remove();
  [...list.children].forEach((li, i) => {
    if (li.textContent !== String(i + 1)) li.textContent = String(i + 1);
    li.classList.toggle("bad", bad.has(i + 1));
  });
  list.scrollTop = area.scrollTop;
}

function go(line: number, column: number): void {
  const area = editor();
  if (!area || line < 1) return;
  const lines = area.value.split("\n");
  const start = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
  const at = start + [...(lines[line - 1] ?? "")].slice(0, Math.max(0, column - 1)).join("").length;
  area.focus();
  area.setSelectionRange(at, at);
  const tall = parseFloat(getComputedStyle(area).lineHeight);
  area.scrollTop = Math.max(0, (line - 6) * tall);
}

let timer = 0;
let round = 0;

async function check(): Promise<void> {
  const area = editor();
  const form = area?.form;
  if (!area || !form) return;
  const mine = ++round;
  try {
    const body = new URLSearchParams([...new FormData(form)].map(([name, value]) => [name, String(value)]));
    const { answer, fresh } = await page("/sheets/check", { method: "POST", body });
    const old = document.getElementById("checked");
    if (mine === round && answer.ok && old) replacePart(old, fresh);
  } catch { /* checked again with the next key */ }
  gutter();
}

function start(): void {
  const area = editor();
  if (!area || area.dataset.started) {
    gutter();
    return;
  }
  area.dataset.started = "yes";
  area.addEventListener("scroll", gutter);
  area.addEventListener("input", () => {
    gutter();
    clearTimeout(timer);
    timer = window.setTimeout(() => void check(), 500);
  });
  let leaving = false;
  area.addEventListener("keydown", (event) => {
    if (event.key === "Tab" && !leaving && !event.shiftKey && !event.ctrlKey && !event.altKey) {
      event.preventDefault();
      area.setRangeText("  ", area.selectionStart, area.selectionEnd, "end");
      area.dispatchEvent(new Event("input", { bubbles: true }));
    }
    leaving = event.key === "Escape";
    if (event.key === "F8") {
      event.preventDefault();
      const line = area.value.slice(0, area.selectionStart).split("\n").length;
      const list = mistakes();
      const next = list.find((m) => m.line > line) ?? list[0];
      if (next) go(next.line, next.column);
    }
  });
  gutter();
}

document.addEventListener("click", (event) => {
  const li = (event.target as HTMLElement).closest("[data-goes]")?.closest<HTMLElement>("[data-line]");
  if (li) go(Number(li.dataset.line), Number(li.dataset.column));
});
document.addEventListener("parts", start);
start();
