// Live screens: parts with data-live="topic" are fetched anew when the bench says
// that the topic has changed. A part in which someone is typing waits until they
// have left it.
import { busy, page, replacePart } from "./parts";

let stream: EventSource | null = null;
let followed = "";
const stale = new Set<string>();
let timer = 0;

const parts = () => [...document.querySelectorAll<HTMLElement>("[data-live][id]")];
const topicsOf = (part: HTMLElement) => (part.dataset.live ?? "").split(" ").filter(Boolean);

async function refresh(): Promise<void> {
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
    if (answer.ok) free.forEach((part) => { if (!busy(part)) replacePart(part, fresh); });
  } catch {
    return; // the stream tells when the bench is back
  }
  if (free.length === wanted.length) stale.clear();
}

function soon(topics: string[]): void {
  topics.forEach((topic) => stale.add(topic));
  if (!timer) timer = window.setTimeout(() => void refresh(), 80);
}

function follow(): void {
  const topics = [...new Set(parts().flatMap(topicsOf))].sort();
  const wanted = document.hidden ? "" : topics.join(" ");
  if (wanted === followed && stream?.readyState !== EventSource.CLOSED) return;
  stream?.close();
  stream = null;
  followed = wanted;
  if (!wanted) return;
  let lost = false;
  stream = new EventSource("/live?since=" + (document.body.dataset.at ?? "0") + "&" + topics.map((t) => "topic=" + encodeURIComponent(t)).join("&"));
  stream.addEventListener("message", (event) => soon([event.data as string]));
  stream.addEventListener("open", () => {
    document.documentElement.dataset.connected = "yes";
    if (lost) soon(topics); // something may have happened meanwhile
    lost = false;
    document.dispatchEvent(new CustomEvent("live"));
  });
  stream.addEventListener("error", () => {
    lost = true;
    document.documentElement.dataset.connected = "no";
  });
}

/** Follows the bench. */
export function live(): void {
  document.addEventListener("visibilitychange", () => {
    follow(); // a hidden screen holds no connection
    if (!document.hidden) soon(parts().flatMap(topicsOf));
  });
  document.addEventListener("parts", follow);
  document.addEventListener("sent", () => soon(parts().flatMap(topicsOf)));
  document.addEventListener("focusout", () => { if (stale.size) soon([]); });
  setInterval(follow, 5000); // a stream that the browser gave up is taken up anew
  follow();
}
