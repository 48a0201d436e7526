"use strict";
(() => {
  // internal/web/assets/source/parts.ts
  async function page(url, init = {}) {
    const stop = new AbortController();
    const timer2 = setTimeout(() => stop.abort(), 15e3);
    try {
      const answer = await fetch(url, { credentials: "same-origin", signal: stop.signal, ...init });
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      return { answer, fresh };
    } finally {
      clearTimeout(timer2);
    }
  }
  function replacePart(old, fresh) {
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

  // internal/web/assets/source/bundle-editor.ts
  function editor() {
    return document.querySelector("[data-editor]");
  }
  function mistakes() {
    return [...document.querySelectorAll("#checked [data-line]")].map((li) => ({
      line: Number(li.dataset.line),
      column: Number(li.dataset.column),
      text: li.textContent?.trim() ?? ""
    }));
  }
  function gutter() {
    const area = editor();
    const list = document.querySelector(".gutter");
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
  function go(line, column) {
    const area = editor();
    if (!area || line < 1) return;
    const lines = area.value.split("\n");
    const start2 = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
    const at = start2 + [...lines[line - 1] ?? ""].slice(0, Math.max(0, column - 1)).join("").length;
    area.focus();
    area.setSelectionRange(at, at);
    const tall = parseFloat(getComputedStyle(area).lineHeight);
    area.scrollTop = Math.max(0, (line - 6) * tall);
  }
  var timer = 0;
  var round = 0;
  async function check() {
    const area = editor();
    const form = area?.form;
    if (!area || !form) return;
    const mine = ++round;
    try {
      const body = new URLSearchParams([...new FormData(form)].map(([name, value]) => [name, String(value)]));
      const { answer, fresh } = await page("/sheets/check", { method: "POST", body });
      const old = document.getElementById("checked");
      if (mine === round && answer.ok && old) replacePart(old, fresh);
    } catch {
    }
    gutter();
  }
  function start() {
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
    const li = event.target.closest("[data-goes]")?.closest("[data-line]");
    if (li) go(Number(li.dataset.line), Number(li.dataset.column));
  });
  document.addEventListener("parts", start);
  start();
})();
