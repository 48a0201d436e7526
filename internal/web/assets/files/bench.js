"use strict";
(() => {
  // internal/web/assets/source/parts.ts
  async function page(url, init = {}) {
    const stop = new AbortController();
    const timer3 = setTimeout(() => stop.abort(), 15e3);
    try {
      const answer = await fetch(url, { credentials: "same-origin", signal: stop.signal, ...init });
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      return { answer, fresh };
    } finally {
      clearTimeout(timer3);
    }
  }
  function say(text) {
    const said = document.getElementById("said");
    if (said) said.textContent = text;
  }
  function busy(element) {
    const at = document.activeElement;
    return !!at && element.contains(at) && /^(INPUT|TEXTAREA|SELECT)$/.test(at.tagName) || !!element.querySelector("dialog[open]");
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
  function turnTo(fresh, url) {
    const same = url.split("#")[0] === location.href.split("#")[0];
    document.title = fresh.title;
    document.body.replaceWith(document.importNode(fresh.body, true));
    if (same) history.replaceState({ turned: true }, "", url);
    else {
      history.pushState({ turned: true }, "", url);
      scrollTo(0, 0);
    }
    const wrong = document.querySelector("[aria-invalid=true]");
    (wrong ?? document.getElementById("screen"))?.focus();
    document.dispatchEvent(new CustomEvent("parts", { detail: document.body }));
  }

  // internal/web/assets/source/outbox.ts
  function store() {
    return new Promise((done, failed) => {
      const open = indexedDB.open("halfsplit", 1);
      open.onupgradeneeded = () => open.result.createObjectStore("outbox", { keyPath: "id", autoIncrement: true });
      open.onsuccess = () => done(open.result);
      open.onerror = () => failed(open.error);
    });
  }
  async function within(mode, run) {
    const base = await store();
    try {
      return await new Promise((done, failed) => {
        const work = base.transaction("outbox", mode, { durability: "strict" });
        const request = run(work.objectStore("outbox"));
        work.oncomplete = () => done(request.result);
        work.onabort = () => failed(work.error);
      });
    } finally {
      base.close();
    }
  }
  var all = () => within("readonly", (box) => box.getAll());
  async function hold(url, data, files, what) {
    await within("readwrite", (box) => box.add({ url, fields: [...data], files, what, at: Date.now() }));
    await show();
  }
  var sending = false;
  async function sendHeld() {
    if (sending) return;
    sending = true;
    let sent = 0;
    try {
      for (const held of await all()) {
        if (held.refused) continue;
        const waited = String(Math.round((Date.now() - held.at) / 1e3));
        const fields = [...held.fields, ["waited", waited]];
        let body;
        if (held.files) {
          body = new FormData();
          for (const [name, value] of fields) body.append(name, value);
        } else body = new URLSearchParams(fields.map(([n, v]) => [n, String(v)]));
        let answer;
        try {
          answer = await fetch(held.url, { method: "POST", body, credentials: "same-origin", redirect: "manual" });
        } catch {
          break;
        }
        if (answer.type === "opaqueredirect" || answer.ok) {
          await within("readwrite", (box) => box.delete(held.id));
          sent++;
        } else if ([400, 404, 409, 413, 422].includes(answer.status)) {
          const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
          held.refused = fresh.querySelector(".problem, main p:not(.back)")?.textContent?.trim() || "The bench refused it.";
          await within("readwrite", (box) => box.put(held));
        } else break;
      }
    } finally {
      sending = false;
      await show();
      if (sent) document.dispatchEvent(new CustomEvent("sent"));
    }
  }
  async function show() {
    const line = document.getElementById("waiting");
    if (!line) return;
    const list = await all();
    const waiting = list.filter((held) => !held.refused).length;
    line.replaceChildren();
    line.hidden = list.length === 0;
    if (waiting) line.append(`Waiting to be sent (${waiting}). `);
    for (const held of list.filter((one) => one.refused)) {
      const entry = document.createElement("span");
      const values = held.fields.filter(([name, value]) => name !== "key" && typeof value === "string" && value).map(([name, value]) => `${name}: ${String(value)}`).join(", ");
      entry.textContent = `${held.what || "An entry"} was refused: ${held.refused} It held ${values}. `;
      const drop = document.createElement("button");
      drop.type = "button";
      drop.className = "quiet";
      drop.textContent = "Drop it";
      drop.addEventListener("click", () => void within("readwrite", (box) => box.delete(held.id)).then(show));
      entry.append(drop);
      line.append(entry);
    }
  }
  function outbox() {
    const look = async () => {
      if ((await all()).some((held) => !held.refused)) await sendHeld();
      else if (document.getElementById("waiting")?.textContent?.includes("Waiting")) {
        await show();
        document.dispatchEvent(new CustomEvent("sent"));
      }
    };
    addEventListener("online", () => void look());
    document.addEventListener("live", () => void look());
    document.addEventListener("parts", () => void show());
    setInterval(() => void look(), 4e3);
    void show().then(look);
  }

  // internal/web/assets/source/forms.ts
  function freshKey() {
    return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
  }
  var draftName = (form) => `draft ${location.pathname} ${form.id}`;
  function drafted(form) {
    return form.method === "post" && form.id !== "";
  }
  function keepDraft(form) {
    if (!drafted(form)) return;
    const values = {};
    for (const field of form.elements) {
      if (field instanceof HTMLInputElement && /^(text|date|number)$/.test(field.type) || field instanceof HTMLTextAreaElement || field instanceof HTMLSelectElement) {
        const written = field instanceof HTMLSelectElement ? [...field.options].find((o) => o.defaultSelected)?.value ?? field.options[0]?.value : field.defaultValue;
        if (field.name && field.value !== written) values[field.name] = field.value;
      }
    }
    try {
      if (Object.keys(values).length) localStorage.setItem(draftName(form), JSON.stringify(values));
      else localStorage.removeItem(draftName(form));
    } catch {
    }
  }
  function takeDraft(form) {
    if (!drafted(form) || form.querySelector("[aria-invalid=true]")) return;
    const text = localStorage.getItem(draftName(form));
    if (!text) return;
    const values = JSON.parse(text);
    for (const [name, value] of Object.entries(values)) {
      const field = form.elements.namedItem(name);
      if (field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement || field instanceof HTMLSelectElement) field.value = value;
    }
  }
  function busyButton(form, by, is) {
    const button = by ?? form.querySelector("button:not([type=button])");
    if (is) button?.setAttribute("aria-busy", "true");
    else button?.removeAttribute("aria-busy");
  }
  async function send(form, by) {
    const data = new FormData(form, by);
    const button = by;
    const url = new URL(button?.getAttribute("formaction") || form.getAttribute("action") || location.href, location.href);
    const part = form.dataset.part ?? "";
    busyButton(form, by, true);
    try {
      if (form.method === "get") {
        url.search = "";
        for (const [name, value] of data) if (typeof value === "string" && value !== "") url.searchParams.append(name, value);
        const { answer: answer2, fresh: fresh2 } = await page(url.href);
        const old = part && document.getElementById(part);
        if (old && fresh2.getElementById(part)) {
          form.querySelectorAll(".field").forEach((field) => {
            const input = field.querySelector("[id]");
            const next = input && fresh2.getElementById(input.id)?.closest(".field");
            if (next) field.replaceWith(document.importNode(next, true));
          });
          replacePart(old, fresh2);
          history.replaceState({ turned: true }, "", answer2.url);
          const wrong = form.querySelector("[aria-invalid=true]");
          if (wrong) {
            for (let d = wrong.closest("details"); d; d = d.parentElement?.closest("details") ?? null) d.open = true;
            wrong.focus();
          } else document.getElementById(part)?.scrollIntoView({ block: innerWidth < 1120 ? "start" : "nearest" });
        } else turnTo(fresh2, answer2.url);
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
      if (form.dataset.outbox !== void 0) {
        await hold(url.href, data, form.enctype === "multipart/form-data", form.dataset.outbox);
        localStorage.removeItem(draftName(form));
        form.reset();
        form.querySelectorAll("[data-key]").forEach((k) => {
          k.value = freshKey();
        });
        say("Kept here. It will be sent when the bench answers again.");
      } else say("The bench does not answer. What you typed is still here; try again in a moment.");
    } finally {
      busyButton(form, by, false);
    }
  }
  function forms() {
    document.addEventListener("submit", (event) => {
      const form = event.target;
      if (event.defaultPrevented || form.method === "dialog" || form.target) return;
      if (form.method === "get" && !form.dataset.part) return;
      event.preventDefault();
      const by = event.submitter;
      if ((by ?? form).getAttribute("aria-busy") === "true") return;
      void send(form, by);
    });
    document.addEventListener("input", (event) => {
      const form = event.target.form;
      if (form) keepDraft(form);
    });
    const arrive = () => document.querySelectorAll("form").forEach((form) => takeDraft(form));
    document.addEventListener("parts", arrive);
    arrive();
  }

  // internal/web/assets/source/live.ts
  var stream = null;
  var followed = "";
  var stale = /* @__PURE__ */ new Set();
  var timer = 0;
  var parts = () => [...document.querySelectorAll("[data-live][id]")];
  var topicsOf = (part) => (part.dataset.live ?? "").split(" ").filter(Boolean);
  async function refresh() {
    timer = 0;
    const wanted = parts().filter((part) => topicsOf(part).some((topic) => stale.has(topic)));
    const free = wanted.filter((part) => !busy(part));
    if (free.length === 0) {
      if (wanted.length === 0) stale.clear();
      return;
    }
    try {
      const { answer, fresh } = await page(location.href);
      if (answer.ok && free.length === wanted.length) document.body.dataset.at = fresh.body.dataset.at;
      if (answer.ok) free.forEach((part) => {
        if (!busy(part)) replacePart(part, fresh);
      });
    } catch {
      return;
    }
    if (free.length === wanted.length) stale.clear();
  }
  function soon(topics) {
    topics.forEach((topic) => stale.add(topic));
    if (!timer) timer = window.setTimeout(() => void refresh(), 80);
  }
  function follow() {
    const topics = [...new Set(parts().flatMap(topicsOf))].sort();
    const wanted = document.hidden ? "" : topics.join(" ");
    if (wanted === followed && stream?.readyState !== EventSource.CLOSED) return;
    stream?.close();
    stream = null;
    followed = wanted;
    if (!wanted) return;
    let lost = false;
    stream = new EventSource("/live?since=" + (document.body.dataset.at ?? "0") + "&" + topics.map((t) => "topic=" + encodeURIComponent(t)).join("&"));
    stream.addEventListener("message", (event) => soon([event.data]));
    stream.addEventListener("open", () => {
      document.documentElement.dataset.connected = "yes";
      if (lost) soon(topics);
      lost = false;
      document.dispatchEvent(new CustomEvent("live"));
    });
    stream.addEventListener("error", () => {
      lost = true;
      document.documentElement.dataset.connected = "no";
    });
  }
  function live() {
    document.addEventListener("visibilitychange", () => {
      follow();
      if (!document.hidden) soon(parts().flatMap(topicsOf));
    });
    document.addEventListener("parts", follow);
    document.addEventListener("sent", () => soon(parts().flatMap(topicsOf)));
    document.addEventListener("focusout", () => {
      if (stale.size) soon([]);
    });
    setInterval(follow, 5e3);
    follow();
  }

  // internal/web/assets/source/keypad.ts
  function show2() {
    const finger = matchMedia("(pointer: coarse)").matches;
    document.querySelectorAll("[data-keypad]").forEach((pad) => {
      pad.hidden = !finger;
      const field = document.getElementById(pad.dataset.keypad ?? "");
      if (finger && field instanceof HTMLInputElement) field.inputMode = "none";
    });
  }
  function keypads() {
    document.addEventListener("click", (event) => {
      const key = event.target.closest("[data-press]");
      const pad = key?.closest("[data-keypad]");
      const field = pad && document.getElementById(pad.dataset.keypad ?? "");
      if (!key || !(field instanceof HTMLInputElement)) return;
      const press = key.dataset.press ?? "";
      if (press === "back") field.value = field.value.slice(0, -1);
      else if (press === "−") field.value = field.value.startsWith("-") ? field.value.slice(1) : "-" + field.value;
      else field.value += press;
      field.dispatchEvent(new Event("input", { bubbles: true }));
    });
    document.addEventListener("parts", show2);
    show2();
  }

  // internal/web/assets/source/asking.ts
  var asked = 0;
  var timer2 = 0;
  async function ask(form) {
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
    } catch {
    }
  }
  async function tick() {
    const due = [...document.querySelectorAll("[data-ticks][id]")].filter((part) => !busy(part));
    if (!due.length || document.hidden) return;
    try {
      const { answer, fresh } = await page(location.href);
      if (answer.ok) due.forEach((part) => {
        if (part.isConnected && !busy(part)) replacePart(part, fresh);
      });
    } catch {
    }
  }
  function preview(event) {
    const over = document.getElementById("preview");
    if (!over) return;
    const test = event.target.closest("[data-previews]");
    const answers = event.type === "pointerout" || event.type === "focusout" ? null : test?.querySelector(".preview");
    over.replaceChildren();
    if (!answers || test?.querySelector("details[open]") || event.pointerType === "touch") return;
    const card = document.createElement("div");
    card.className = "card";
    const title = document.createElement("p");
    title.className = "next-title";
    title.textContent = test?.querySelector(".name")?.textContent ?? "";
    card.append(title, answers.cloneNode(true));
    over.append(card);
  }
  function mark(event) {
    const picture = event.target.closest("svg[data-marks]");
    if (!picture) return;
    const box = picture.getBoundingClientRect();
    const x = (event.clientX - box.left) / box.width, y = (event.clientY - box.top) / box.height;
    for (const [name, value] of [["x", x], ["y", y]]) {
      const field = document.getElementById("field-" + name);
      if (field instanceof HTMLInputElement) field.value = (100 * value).toFixed(1);
    }
    const { width, height } = picture.viewBox.baseVal;
    const arm = width / 30;
    picture.querySelector("[data-cross]")?.setAttribute("d", `M${x * width - arm} ${y * height} h${2 * arm} M${x * width} ${y * height - arm} v${2 * arm}`);
    document.getElementById("field-name")?.focus();
  }
  function choosePart(event) {
    const part = event.target.closest(".schematic [data-part]");
    if (!part) return;
    const of = [...document.querySelectorAll("a[data-of]")].find((a) => a.dataset.of === part.dataset.part);
    of?.click();
  }
  function hereInRow() {
    const here = document.querySelector(".tabs [aria-current=page]"), row = here?.closest(".tabs");
    if (here && row) row.scrollLeft = here.offsetLeft - row.offsetLeft - (row.clientWidth - here.clientWidth) / 2;
  }
  function asking() {
    document.addEventListener("input", (event) => {
      const form = event.target.closest("form[data-asks]");
      if (!form) return;
      clearTimeout(timer2);
      timer2 = window.setTimeout(() => void ask(form), 250);
    });
    document.addEventListener("click", (event) => {
      const key = event.target.closest("[data-sets]");
      const field = key && document.getElementById(key.dataset.sets ?? "");
      if (!(field instanceof HTMLInputElement)) return;
      field.value = key?.dataset.word ?? "";
      field.dispatchEvent(new Event("input", { bubbles: true }));
    });
    document.addEventListener("click", mark);
    document.addEventListener("click", choosePart);
    document.addEventListener("keydown", (event) => {
      if (event.key === "Enter") choosePart(event);
    });
    for (const type of ["pointerover", "pointerout", "focusin", "focusout"]) document.addEventListener(type, preview);
    document.addEventListener("parts", hereInRow);
    hereInRow();
    setInterval(() => void tick(), 5e3);
  }

  // internal/web/assets/source/bench.ts
  function dialogs() {
    document.addEventListener("click", (event) => {
      const at = event.target;
      const opener = at.closest("[data-opens]");
      if (opener) document.getElementById(opener.dataset.opens ?? "")?.showModal();
      if (at.closest("[data-prints]")) print();
      document.querySelectorAll(".more[open]").forEach((menu) => {
        if (!menu.contains(at)) menu.open = false;
      });
    });
    document.addEventListener("keydown", (event) => {
      if (event.key !== "Escape") return;
      document.querySelectorAll(".more[open]").forEach((menu) => {
        menu.open = false;
        menu.querySelector("summary")?.focus();
      });
    });
  }
  function tabs() {
    document.querySelectorAll(".tabs").forEach((row) => {
      const here = row.querySelector('[aria-current="page"]');
      if (here) row.scrollLeft = here.offsetLeft - row.offsetLeft - (row.clientWidth - here.offsetWidth) / 2;
    });
  }
  addEventListener("popstate", () => location.reload());
  forms();
  outbox();
  live();
  keypads();
  asking();
  dialogs();
  tabs();
})();
