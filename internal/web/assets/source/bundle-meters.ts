// Live meters: what they show comes as a stream while the screen is looked at.

let stream: EventSource | null = null;
let from = "";

function follow(): void {
  const box = document.querySelector<HTMLElement>("[data-meters]");
  const wanted = box && !document.hidden ? box.dataset.meters ?? "" : "";
  if (wanted === from && (!wanted || stream?.readyState !== EventSource.CLOSED)) return;
  stream?.close();
  stream = null;
  from = wanted;
  if (!wanted) return;
  stream = new EventSource(wanted);
  const lost = (is: boolean) => {
    const note = document.getElementById("meters-lost");
    if (note) note.hidden = !is;
  };
  stream.addEventListener("open", () => lost(false));
  stream.addEventListener("error", () => lost(true));
  stream.addEventListener("message", (event) => {
    const { part, html } = JSON.parse(event.data as string) as { part: string; html: string };
    const at = document.getElementById(part);
    if (at) at.innerHTML = html; // made by the bench, where every word is escaped
  });
}

document.addEventListener("visibilitychange", follow); // a hidden screen holds no meter
document.addEventListener("parts", follow);
setInterval(follow, 5000); // a stream that the browser gave up is taken up anew
follow();
