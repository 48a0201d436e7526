// Traces: a canvas that shows the window in view and fetches it anew when it is
// moved, so that a recording of any length draws at once.
//
// An element with data-trace="/path" is filled from /path?from=&to=&points=, which
// answers with a TraceWindow. Without from and to it is the whole recording.
import uPlot from "./vendor/uPlot.esm.js";

interface TraceWindow {
  from: number; // seconds, of the whole recording
  to: number;
  x: number[]; // seconds, the middle of each stretch
  series: { name: string; unit: string; low: (number | null)[]; high: (number | null)[]; limits?: [number | null, number | null] }[];
}

const inks = ["--trace-1", "--trace-2", "--trace-3", "--trace-4", "--trace-5"];
const dashes = [[], [8, 4], [2, 3], [10, 3, 2, 3], [1, 4]];

async function fetchWindow(src: string, from: number | null, to: number | null, points: number): Promise<TraceWindow> {
  const url = new URL(src, location.href);
  if (from !== null && to !== null) {
    url.searchParams.set("from", String(from));
    url.searchParams.set("to", String(to));
  }
  url.searchParams.set("points", String(points));
  const answer = await fetch(url, { credentials: "same-origin" });
  if (!answer.ok) throw new Error(await answer.text());
  return await answer.json() as TraceWindow;
}

function show(host: HTMLElement): void {
  const src = host.dataset.trace ?? "";
  const css = getComputedStyle(host);
  const ink = (name: string) => css.getPropertyValue(name).trim();
  const width = () => Math.max(280, host.clientWidth - 16);
  let plot: uPlot | null = null;
  let whole: [number, number] = [0, 0];
  let view: [number, number] = [0, 0];
  let timer = 0;
  let round = 0;

  // Each trace is the band between its lowest and its highest value.
  const columns = (w: TraceWindow): uPlot.AlignedData => [w.x, ...w.series.flatMap((s) => [s.low, s.high])] as uPlot.AlignedData;

  async function load(from: number | null, to: number | null): Promise<void> {
    const mine = ++round;
    const w = await fetchWindow(src, from, to, Math.min(2000, width()));
    if (mine !== round) return;
    if (plot) {
      plot.batch(() => {
        plot!.setData(columns(w), false);
        plot!.setScale("x", { min: view[0], max: view[1] });
      });
      return;
    }
    whole = [w.from, w.to];
    view = [w.from, w.to];
    const scales = [...new Set(w.series.map((s) => s.unit))];
    plot = new uPlot({
      width: width(), height: 320, padding: [12, 8, 0, 0],
      legend: { live: true }, cursor: { drag: { x: false, y: false } },
      scales: { x: { time: false } },
      series: [{ label: "seconds" }, ...w.series.flatMap((s, i) => ["low", "high"].map((end) => ({
        label: s.name + (end === "high" ? " to" : ""), scale: s.unit, stroke: ink(inks[i % inks.length]!), width: 1.5, dash: dashes[i % dashes.length], points: { show: false },
        value: (_: uPlot, v: number | null) => v === null ? "–" : v.toPrecision(4) + " " + s.unit,
      })))],
      bands: w.series.map((_, i) => ({ series: [2 * i + 2, 2 * i + 1] as [number, number], fill: ink(inks[i % inks.length]!) + "40" })),
      axes: [{ stroke: ink("--soft"), grid: { stroke: ink("--rule"), width: 1 }, label: "seconds" }, ...scales.map((unit, i) => ({
        scale: unit, side: (i % 2 ? 1 : 3) as uPlot.Axis.Side, stroke: ink("--soft"), grid: { show: i === 0, stroke: ink("--rule"), width: 1 }, label: unit, size: 60,
      }))],
    }, columns(w), host);
    host.dataset.drawn = "yes";
  }

  function move(from: number, to: number): void {
    const span = Math.min(to - from, whole[1] - whole[0]);
    const start = Math.min(Math.max(from, whole[0]), whole[1] - span);
    view = [start, start + span];
    plot?.setScale("x", { min: view[0], max: view[1] });
    clearTimeout(timer);
    timer = window.setTimeout(() => void load(view[0], view[1]).catch(() => undefined), 60);
  }
  const zoom = (at: number, by: number) => move(at - (at - view[0]) * by, at + (view[1] - at) * by);
  const pan = (share: number) => move(view[0] + share * (view[1] - view[0]), view[1] + share * (view[1] - view[0]));

  host.addEventListener("wheel", (event) => {
    if (!plot || !(event.ctrlKey || event.shiftKey)) return; // a bare wheel scrolls the page
    event.preventDefault();
    zoom(plot.posToVal(event.clientX - plot.over.getBoundingClientRect().left, "x"), event.deltaY < 0 ? 0.8 : 1.25);
  }, { passive: false });
  let held: { x: number; view: [number, number] } | null = null;
  host.addEventListener("pointerdown", (event) => { if (event.isPrimary) held = { x: event.clientX, view: [...view] }; });
  addEventListener("pointerup", () => { held = null; });
  host.addEventListener("pointermove", (event) => {
    if (!held || !plot || !event.buttons) return;
    const moved = (event.clientX - held.x) / plot.over.clientWidth * (held.view[1] - held.view[0]);
    move(held.view[0] - moved, held.view[1] - moved);
  });
  host.addEventListener("keydown", (event) => {
    const middle = (view[0] + view[1]) / 2;
    if (event.key === "ArrowLeft") pan(-0.25);
    else if (event.key === "ArrowRight") pan(0.25);
    else if (event.key === "+") zoom(middle, 0.5);
    else if (event.key === "-") zoom(middle, 2);
    else if (event.key === "Home") move(whole[0], whole[1]);
    else return;
    event.preventDefault();
  });
  new ResizeObserver(() => plot?.setSize({ width: width(), height: 320 })).observe(host);
  load(null, null).catch((error: Error) => { host.textContent = "The recording could not be drawn: " + error.message; });
}

function start(): void {
  document.querySelectorAll<HTMLElement>("[data-trace]:not([data-started])").forEach((host) => {
    host.dataset.started = "yes";
    show(host);
  });
}

document.addEventListener("parts", start);
start();
