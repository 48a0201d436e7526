// The outbox: entries that could not be sent are kept in the browser, survive a
// reload, and are sent in order when the bench answers. Each carries the key of
// its form, by which the bench takes it in once, however often it is sent.

interface Held {
  id?: number;
  url: string;
  fields: [string, FormDataEntryValue][];
  files: boolean;
  what: string;
  at: number;
  refused?: string;
}

function store(): Promise<IDBDatabase> {
  return new Promise((done, failed) => {
    const open = indexedDB.open("halfsplit", 1);
    open.onupgradeneeded = () => open.result.createObjectStore("outbox", { keyPath: "id", autoIncrement: true });
    open.onsuccess = () => done(open.result);
    open.onerror = () => failed(open.error);
  });
}

async function within<T>(mode: IDBTransactionMode, run: (box: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const base = await store();
  try {
    return await new Promise<T>((done, failed) => {
      const work = base.transaction("outbox", mode, { durability: "strict" });
      const request = run(work.objectStore("outbox"));
      work.oncomplete = () => done(request.result);
      work.onabort = () => failed(work.error);
    });
  } finally {
    base.close();
  }
}

const all = () => within<Held[]>("readonly", (box) => box.getAll());

/** Keeps an entry until it can be sent. */
export async function hold(url: string, data: FormData, files: boolean, what: string): Promise<void> {
  await within("readwrite", (box) => box.add({ url, fields: [...data], files, what, at: Date.now() } as Held));
  await show();
}

let sending = false;

/** Sends what waits, in order, until one cannot be sent. */
export async function sendHeld(): Promise<void> {
  if (sending) return;
  sending = true;
  let sent = 0;
  try {
    for (const held of await all()) {
      if (held.refused) continue;
      const waited = String(Math.round((Date.now() - held.at) / 1000));
      const fields: [string, FormDataEntryValue][] = [...held.fields, ["waited", waited]];
      let body: FormData | URLSearchParams;
      if (held.files) {
        body = new FormData();
        for (const [name, value] of fields) body.append(name, value);
      } else body = new URLSearchParams(fields.map(([n, v]) => [n, String(v)]));
      let answer: Response;
      try {
        answer = await fetch(held.url, { method: "POST", body, credentials: "same-origin", redirect: "manual" });
      } catch {
        break; // still not there
      }
      if (answer.type === "opaqueredirect" || answer.ok) {
        await within("readwrite", (box) => box.delete(held.id!));
        sent++;
      } else if ([400, 404, 409, 413, 422].includes(answer.status)) {
        const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
        held.refused = fresh.querySelector(".problem, main p:not(.back)")?.textContent?.trim() || "The bench refused it.";
        await within("readwrite", (box) => box.put(held));
      } else break; // not now: not paired, too often, or the bench failed
    }
  } finally {
    sending = false;
    await show();
    if (sent) document.dispatchEvent(new CustomEvent("sent"));
  }
}

/** Shows how much waits, and what was refused. */
export async function show(): Promise<void> {
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
    drop.addEventListener("click", () => void within("readwrite", (box) => box.delete(held.id!)).then(show));
    entry.append(drop);
    line.append(entry);
  }
}

/** Minds the outbox from now on. */
export function outbox(): void {
  const look = async () => {
    if ((await all()).some((held) => !held.refused)) await sendHeld();
    else if (document.getElementById("waiting")?.textContent?.includes("Waiting")) {
      await show(); // another tab has sent it
      document.dispatchEvent(new CustomEvent("sent"));
    }
  };
  addEventListener("online", () => void look());
  document.addEventListener("live", () => void look());
  document.addEventListener("parts", () => void show());
  setInterval(() => void look(), 4000);
  void show().then(look);
}
