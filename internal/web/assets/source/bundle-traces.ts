/*! uPlot 1.6.32 is in this file:

The MIT License (MIT)

Copyright (c) 2022 Leon Sorokin

Permission is hereby granted, free of charge, to any person obtaining a copy
of this software and associated documentation files (the "Software"), to deal
in the Software without restriction, including without limitation the rights
to use, copy, modify, merge, publish, distribute, sublicense, and/or sell
copies of the Software, and to permit persons to whom the Software is
furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in
all copies or substantial portions of the Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR
IMPLIED, INCLUDING BUT NOT LIMITED TO THE WARRANTIES OF MERCHANTABILITY,
FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE
AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER
LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR OTHERWISE, ARISING FROM,
OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN
THE SOFTWARE.
*/

// The viewer of traces: any stretch of a recording of any length, drawn from the
// lowest and highest of each part of it. What is not yet there in detail is drawn
// from the whole until it comes.
import uPlot from "./vendor/uPlot.esm.js";

type Channel = { name: string; unit: string };
type Mark = { channel: string; kind: string; from: number; to: number };
type Curve = { channel: string; from: number; begin: number; end: number; constant: number; until: number };
type Known = {
  id: number; begin: number; end: number; origin: number | null; channels: Channel[];
  channel: string; low: number | null; high: number | null; marks: Mark[]; curve: Curve | null;
};
type Answer = { channels: { name: string; unit: string; from: number[]; to: number[]; low: (number | null)[]; high: (number | null)[]; overloads: number[] }[] };

/** A stretch of the trace in memory: of each channel its course, ready to draw. */
type Stretch = { from: number; to: number; step: number; channels: Map<string, { x: number[]; y: (number | null)[]; over: number[] }> };

const wide = 3; // how many times the view is fetched, so that there is more on both sides
const points = 700; // stretches of one view

/** Steps of a time axis, in seconds. */
const clockSteps = [...[-6, -5, -4, -3, -2, -1].flatMap((e) => [1, 2, 5].map((n) => Number(`${n}e${e}`))), 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400, 172800, 432000, 864000];

class Viewer {
  known: Known;
  low: number;
  high: number;
  whole: Stretch | null = null;
  detail: Stretch | null = null;
  panels: { channel: Channel; plot: uPlot; drawn: Stretch | null; least: number; most: number }[] = [];
  fit = false;
  private frame = 0;
  private timer = 0;
  private round = 0;
  private pending: AbortController | null = null;
  private readonly gone = new AbortController();
  private readonly resizes: ResizeObserver;
  private readonly host: HTMLElement;

  constructor(readonly root: HTMLElement) {
    this.known = JSON.parse(root.dataset.trace ?? "{}") as Known;
    this.low = this.known.begin;
    this.high = this.known.end > this.known.begin ? this.known.end : this.known.begin + 1;
    this.host = root.querySelector<HTMLElement>(".trace-panels")!;
    this.resizes = new ResizeObserver(() => this.resize());
    this.resizes.observe(this.host);
    const signal = this.gone.signal;
    root.addEventListener("click", (event) => this.press(event), { signal });
    root.addEventListener("change", () => void this.choose(), { signal });
    this.host.addEventListener("keydown", (event) => this.key(event), { signal });
    this.host.addEventListener("wheel", (event) => this.wheel(event), { signal, passive: false });
    this.fingers(signal);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => void this.choose(), { signal });
    void this.choose();
  }

  close(): void {
    this.gone.abort();
    this.pending?.abort();
    this.resizes.disconnect();
    this.panels.forEach((p) => p.plot.destroy());
  }

  /** Takes over what was found since. */
  marks(text: string): void {
    const fresh = JSON.parse(text) as Known;
    Object.assign(this.known, { channel: fresh.channel, low: fresh.low, high: fresh.high, marks: fresh.marks, curve: fresh.curve });
    this.heights();
    this.draw(true);
  }

  private chosen(): Channel[] {
    const names = [...this.root.querySelectorAll<HTMLInputElement>("[data-channel]:checked")].map((box) => box.dataset.channel);
    return this.known.channels.filter((c) => names.includes(c.name)).slice(0, 6);
  }

  /** Makes a panel for each channel that is chosen. */
  private async choose(): Promise<void> {
    const channels = this.chosen();
    this.panels.forEach((p) => p.plot.destroy());
    this.panels = [];
    this.host.replaceChildren();
    this.colors.clear();
    this.whole = this.detail = null;
    channels.forEach((channel, i) => {
      const box = document.createElement("div");
      box.className = "trace-panel";
      const name = document.createElement("p");
      name.className = "trace-name";
      name.textContent = channel.unit ? `${channel.name} in ${channel.unit}` : channel.name;
      box.append(name);
      this.host.append(box);
      const panel = { channel, drawn: null as Stretch | null, least: 0, most: 1, plot: null as unknown as uPlot };
      panel.plot = this.plot(box, panel, i === channels.length - 1);
      this.panels.push(panel);
    });
    if (!channels.length) return;
    this.whole = await this.fetch(this.known.begin, this.known.end, 2 * points, channels);
    this.heights();
    this.draw(true);
    this.soon();
  }

  private readonly colors = new Map<string, string>();

  /** A colour of the style sheet, looked up once. */
  private color(name: string): string {
    let value = this.colors.get(name);
    if (value === undefined) this.colors.set(name, value = getComputedStyle(document.documentElement).getPropertyValue(name).trim() || "#000");
    return value;
  }

  private plot(box: HTMLElement, panel: { channel: Channel; least: number; most: number; drawn: Stretch | null }, last: boolean): uPlot {
    const ink = this.color("--ink"), rule = this.color("--rule"), soft = this.color("--soft"), line = this.color("--enamel");
    const font = "12px " + (this.color("--figures") || "monospace");
    return new uPlot({
      width: Math.max(200, this.host.clientWidth), height: this.tall(last), pxAlign: 0, padding: [10, 28, 0, 0],
      legend: { show: false }, cursor: { show: false }, select: { show: false, left: 0, top: 0, width: 0, height: 0 },
      scales: { x: { time: false, range: () => [this.low, this.high] }, y: { range: () => [panel.least, panel.most] } },
      axes: [
        { show: last, incrs: this.clocked() ? clockSteps : undefined, stroke: soft, font, size: 34, grid: { stroke: rule, width: 1 }, ticks: { stroke: rule, width: 1 }, space: 90, values: (_u, ticks) => ticks.map((t) => this.stamp(t)) },
        { stroke: soft, font, size: 64, grid: { stroke: rule, width: 1 }, ticks: { stroke: rule, width: 1 }, space: 34, values: (_u, ticks) => figures(ticks) },
      ],
      series: [{}, { stroke: line, width: 1.5, points: { show: false }, spanGaps: false }],
      hooks: { drawAxes: [(u) => this.behind(u, panel.channel)], draw: [(u) => this.beside(u, panel, ink)] },
    }, [[], []], box);
  }

  /** Draws the limits and the spells behind the course. */
  private behind(u: uPlot, channel: Channel): void {
    if (channel.name !== this.known.channel) return;
    const { ctx } = u, { left, top, width, height } = u.bbox;
    const y = (v: number) => Math.min(top + height, Math.max(top, u.valToPos(v, "y", true)));
    const x = (t: number) => Math.min(left + width, Math.max(left, u.valToPos(t, "x", true)));
    ctx.save();
    const { low, high } = this.known;
    if (low !== null || high !== null) {
      const above = high === null ? top : y(high), below = low === null ? top + height : y(low);
      ctx.fillStyle = this.color("--pass-wash");
      ctx.fillRect(left, above, width, Math.max(0, below - above));
      ctx.strokeStyle = this.color("--pass");
      ctx.setLineDash([6, 4]);
      for (const limit of [low, high]) if (limit !== null) { ctx.beginPath(); ctx.moveTo(left, y(limit)); ctx.lineTo(left + width, y(limit)); ctx.stroke(); }
      ctx.setLineDash([]);
    }
    for (const mark of this.known.marks) {
      if (mark.to < this.low || mark.from > this.high) continue;
      const at = x(mark.from), wide = Math.max(2, x(mark.to) - at);
      ctx.fillStyle = mark.kind === "step" ? this.color("--close") : this.color("--fail");
      ctx.globalAlpha = mark.kind === "step" ? .8 : .22;
      ctx.fillRect(at, top, wide, height);
      ctx.globalAlpha = 1;
      ctx.beginPath(); // a pointer above, so that nothing is told by colour alone
      ctx.moveTo(at + wide / 2 - 6, top); ctx.lineTo(at + wide / 2 + 6, top); ctx.lineTo(at + wide / 2, top + 9);
      ctx.fill();
    }
    ctx.restore();
  }

  /** Draws the fitted warm-up and overloads over the course. */
  private beside(u: uPlot, panel: { channel: Channel; drawn: Stretch | null }, ink: string): void {
    const { ctx } = u, { left, top, width, height } = u.bbox;
    const over = panel.drawn?.channels.get(panel.channel.name);
    ctx.save();
    ctx.beginPath(); ctx.rect(left, top, width, height); ctx.clip();
    if (over?.over.length) {
      ctx.fillStyle = this.color("--fail");
      for (const t of over.over) if (t >= this.low && t <= this.high) ctx.fillRect(u.valToPos(t, "x", true) - 2, top, 4, 12);
    }
    const c = this.known.curve;
    if (c && c.channel === panel.channel.name && this.high > c.from && this.low < c.until) {
      ctx.strokeStyle = ink; ctx.lineWidth = 1.5; ctx.setLineDash([8, 5]); ctx.beginPath();
      const from = Math.max(this.low, c.from), until = Math.min(this.high, c.until);
      for (let i = 0; i <= 120; i++) {
        const t = from + (until - from) * i / 120;
        ctx.lineTo(u.valToPos(t, "x", true), u.valToPos(c.end + (c.begin - c.end) * Math.exp(-(t - c.from) / c.constant), "y", true));
      }
      ctx.stroke();
    }
    ctx.restore();
  }

  private tall(last: boolean): number {
    const room = innerHeight < 700 ? 150 : 200;
    return room + (last ? 34 : 0);
  }

  private resize(): void {
    const width = Math.max(200, this.host.clientWidth);
    this.panels.forEach((p, i) => { if (p.plot.width !== width) p.plot.setSize({ width, height: this.tall(i === this.panels.length - 1) }); });
  }

  /** Works out how high each panel reaches: over the whole trace, or what is in view. */
  private heights(): void {
    for (const p of this.panels) {
      const of = (this.fit && this.covers(this.detail) ? this.detail : this.whole)?.channels.get(p.channel.name);
      if (!of) continue;
      let least = Infinity, most = -Infinity;
      for (let i = 0; i < of.y.length; i++) {
        const v = of.y[i];
        if (v === null || v === undefined || this.fit && (of.x[i] < this.low || of.x[i] > this.high)) continue;
        least = Math.min(least, v);
        most = Math.max(most, v);
      }
      if (p.channel.name === this.known.channel && !this.fit) for (const limit of [this.known.low, this.known.high]) {
        if (limit !== null) { least = Math.min(least, limit); most = Math.max(most, limit); }
      }
      if (least > most) { least = 0; most = 1; }
      const air = (most - least || Math.abs(most) || 1) * .06;
      p.least = least - air;
      p.most = most + air;
    }
  }

  private covers(s: Stretch | null): boolean {
    return !!s && s.from <= this.low && s.to >= this.high;
  }

  /** What is drawn now: the detail where it reaches over the view and is fine enough. */
  private best(): Stretch | null {
    const d = this.detail;
    return d && this.covers(d) && (!this.whole || d.step <= this.whole.step * 1.01) ? d : this.whole;
  }

  /** Draws in the next frame, once. */
  draw(anew = false): void {
    if (anew) this.panels.forEach((p) => { p.drawn = null; });
    if (!this.frame) this.frame = requestAnimationFrame(() => { this.frame = 0; this.paint(); });
  }

  private paint(): void {
    const best = this.best();
    if (this.fit) this.heights();
    for (const p of this.panels) {
      if (best && p.drawn !== best) {
        const of = best.channels.get(p.channel.name);
        p.drawn = best;
        if (of) p.plot.setData([of.x, of.y] as uPlot.AlignedData, false);
      }
      p.plot.batch(() => {
        p.plot.setScale("x", { min: this.low, max: this.high });
        if (p.plot.scales.y.min !== p.least || p.plot.scales.y.max !== p.most) p.plot.setScale("y", { min: p.least, max: p.most });
      });
    }
    const where = this.root.querySelector("[data-where]");
    if (where) where.textContent = `${this.stamp(this.low)} to ${this.stamp(this.high)}`;
  }

  /** Shows a stretch, within the trace. */
  show(low: number, high: number): void {
    const { begin, end } = this.known, length = Math.max(end - begin, 1e-12);
    const span = Math.min(length, Math.max(high - low, length * 2e-8));
    const middle = (low + high) / 2;
    low = Math.min(Math.max(begin, middle - span / 2), Math.max(begin, end - span));
    this.low = low;
    this.high = low + span;
    this.draw();
    this.soon();
  }

  /** Fetches the view in detail, once it has rested a little or the edge comes near. */
  private soon(): void {
    if (this.timer) return;
    this.timer = window.setTimeout(() => { this.timer = 0; void this.refine(); }, 120);
  }

  private async refine(): Promise<void> {
    const span = this.high - this.low, d = this.detail;
    if (span >= (this.known.end - this.known.begin) * .98) return;
    const room = span / 2, { begin, end } = this.known;
    const near = d && d.from <= Math.max(begin, this.low - room) && d.to >= Math.min(end, this.high + room);
    if (near && d.step <= span / points * 1.2) return;
    const from = Math.max(begin, this.low - span * (wide - 1) / 2), to = Math.min(end, this.high + span * (wide - 1) / 2);
    const mine = ++this.round;
    const got = await this.fetch(from, to, Math.ceil(points * (to - from) / span), this.panels.map((p) => p.channel));
    if (!got || mine !== this.round) return;
    this.detail = got;
    this.draw();
    if (this.low < got.from || this.high > got.to) this.soon();
  }

  private async fetch(from: number, to: number, count: number, channels: Channel[]): Promise<Stretch | null> {
    this.pending?.abort();
    const stop = this.pending = new AbortController();
    const query = new URLSearchParams({ from: String(from), to: String(to), points: String(Math.min(4000, count)) });
    channels.forEach((c) => query.append("channel", c.name));
    try {
      const answer = await fetch(`/api/traces/${this.known.id}/window?${query}`, { credentials: "same-origin", signal: stop.signal, headers: { Accept: "application/json" } });
      if (!answer.ok) throw new Error(String(answer.status));
      const w = await answer.json() as Answer;
      const s: Stretch = { from, to, step: (to - from) / Math.max(1, count), channels: new Map() };
      for (const c of w.channels) {
        const x: number[] = [], y: (number | null)[] = [];
        for (let i = 0; i < c.from.length; i++) {
          x.push(c.from[i]); y.push(c.low[i]);
          if (c.to[i] !== c.from[i] || c.low[i] !== c.high[i]) { x.push(c.to[i]); y.push(c.high[i]); }
        }
        s.channels.set(c.name, { x, y, over: c.overloads.map((i) => c.from[i]) });
      }
      this.say("");
      return s;
    } catch {
      if (!stop.signal.aborted) {
        this.say("The bench does not answer; what was fetched before is shown.");
        window.setTimeout(() => this.soon(), 2000);
      }
      return null;
    }
  }

  private say(text: string): void {
    const said = document.getElementById("said");
    if (said && (text || said.dataset.trace)) {
      said.textContent = text;
      said.dataset.trace = text ? "yes" : "";
    }
  }

  /** Tells whether times are written as a clock. */
  private clocked(): boolean { return Math.max(Math.abs(this.known.begin), Math.abs(this.known.end)) >= 120; }

  private stamp(t: number): string {
    const span = this.high - this.low, sign = t < 0 ? "−" : "";
    const a = Math.abs(t);
    const digits = Math.min(9, Math.max(0, Math.ceil(1.5 - Math.log10(span))));
    if (!this.clocked()) return sign + (span < .2 ? `${+(a * 1000).toFixed(Math.max(0, digits - 3))} ms` : `${+a.toFixed(digits)} s`);
    const part = digits > 0 && span < 60 ? digits : 0, round = Math.round(a * 10 ** part) / 10 ** part;
    const s = Math.floor(round), rest = part ? (round - s).toFixed(part).slice(1) : "";
    return `${sign}${Math.floor(s / 3600)}:${String(Math.floor(s / 60) % 60).padStart(2, "0")}:${String(s % 60).padStart(2, "0")}${rest}`;
  }

  // Hands.

  move(what: string): void {
    const span = this.high - this.low, middle = (this.low + this.high) / 2;
    switch (what) {
      case "back": return this.show(this.low - span / 4, this.high - span / 4);
      case "on": return this.show(this.low + span / 4, this.high + span / 4);
      case "in": return this.show(middle - span / 4, middle + span / 4);
      case "out": return this.show(middle - span, middle + span);
      case "begin": return this.show(this.known.begin, this.known.begin + span);
      case "end": return this.show(this.known.end - span, this.known.end);
      case "whole": return this.show(this.known.begin, this.known.end);
    }
    if (what !== "fit") return;
    this.fit = !this.fit;
    this.root.querySelector("[data-move=fit]")?.setAttribute("aria-pressed", String(this.fit));
    this.heights();
    this.draw();
  }

  private press(event: MouseEvent): void {
    const button = (event.target as HTMLElement).closest<HTMLElement>("[data-move]");
    if (button) this.move(button.dataset.move ?? "");
  }

  private key(event: KeyboardEvent): void {
    const keys: Record<string, string> = { ArrowLeft: "back", ArrowRight: "on", "+": "in", "=": "in", "-": "out", "−": "out", Home: "begin", End: "end", "0": "whole" };
    const what = keys[event.key];
    if (!what || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    this.move(what);
  }

  private area(): { left: number; width: number } {
    const over = this.panels[0]?.plot.over.getBoundingClientRect();
    return over ? { left: over.left, width: Math.max(1, over.width) } : { left: 0, width: 1 };
  }

  private wheel(event: WheelEvent): void {
    if (event.ctrlKey && !event.deltaY) return;
    event.preventDefault();
    const span = this.high - this.low, { left, width } = this.area();
    if (event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY)) {
      const by = (event.deltaX || event.deltaY) / width * span;
      return this.show(this.low + by, this.high + by);
    }
    const at = this.low + (event.clientX - left) / width * span;
    const factor = Math.exp(Math.max(-60, Math.min(60, event.deltaY)) * .006);
    this.show(at - (at - this.low) * factor, at + (this.high - at) * factor);
  }

  private fingers(signal: AbortSignal): void {
    const down = new Map<number, number>();
    this.host.addEventListener("pointerdown", (event) => {
      if (event.pointerType === "mouse" && event.button !== 0) return;
      down.set(event.pointerId, event.clientX);
      try { this.host.setPointerCapture(event.pointerId); } catch { /* it is gone already */ }
    }, { signal });
    this.host.addEventListener("pointermove", (event) => {
      const before = down.get(event.pointerId);
      if (before === undefined) return;
      const span = this.high - this.low, { left, width } = this.area();
      if (down.size === 1) {
        const by = (before - event.clientX) / width * span;
        this.show(this.low + by, this.high + by);
      } else {
        const other = [...down].find(([id]) => id !== event.pointerId)![1];
        const apart = Math.max(12, Math.abs(before - other)), now = Math.max(12, Math.abs(event.clientX - other));
        const at = this.low + ((before + other) / 2 - left) / width * span, factor = apart / now;
        const shift = (before - event.clientX) / 2 / width * span;
        this.show(at - (at - this.low) * factor + shift, at + (this.high - at) * factor + shift);
      }
      down.set(event.pointerId, event.clientX);
    }, { signal });
    for (const end of ["pointerup", "pointercancel"] as const) this.host.addEventListener(end, (event) => { down.delete(event.pointerId); }, { signal });
  }
}

/** Writes ticks alike, with the prefix of their size. */
function figures(ticks: number[]): string[] {
  const most = Math.max(...ticks.map(Math.abs)), step = ticks.length > 1 ? Math.abs(ticks[1] - ticks[0]) : most;
  const prefixes: [number, string][] = [[1e9, "G"], [1e6, "M"], [1e3, "k"], [1, ""], [1e-3, "m"], [1e-6, "µ"], [1e-9, "n"], [1e-12, "p"]];
  const [size, prefix] = prefixes.find(([s]) => most >= s) ?? [1, ""];
  const digits = Math.min(9, Math.max(0, Math.ceil(-Math.log10(step / size || 1) - 1e-9)));
  return ticks.map((t) => (t / size).toFixed(digits).replace("-", "−") + prefix);
}

let viewer: Viewer | null = null;

function begin(): void {
  const root = document.getElementById("trace-plot");
  if (viewer && viewer.root !== root) {
    viewer.close();
    viewer = null;
  }
  if (root && !viewer) viewer = new Viewer(root);
  const found = document.getElementById("happened");
  if (viewer && found?.dataset.marks) viewer.marks(found.dataset.marks);
}

document.addEventListener("parts", begin);
document.addEventListener("click", (event) => {
  const button = (event.target as HTMLElement).closest<HTMLElement>("[data-goto]");
  if (!button || !viewer) return;
  const at = Number(button.dataset.goto), span = Math.min(viewer.high - viewer.low, (viewer.known.end - viewer.known.begin) / 20);
  viewer.show(at - span / 2, at + span / 2);
  viewer.root.scrollIntoView({ block: "start" });
});
begin();
