// Watch it sew: the line grows hole by hole, as the machine would go; her finger can take it anywhere.

import { h } from "./h.js";

const SECONDS = 24;
const calm = matchMedia("(prefers-reduced-motion: reduce)");

/** Sews `holes` (with `runs` of indices) into the view of `picture`. */
export class Sewing {
  constructor(picture, holes, runs, changed) {
    this.picture = picture;
    this.holes = holes;
    this.breaks = new Set(runs.map(([first]) => first));
    this.changed = changed;
    this.done = calm.matches ? holes.length : 0;
    this.playing = !calm.matches;
    this.canvas = document.createElement("canvas");
    this.canvas.setAttribute("aria-hidden", "true");
    this.painted = 0;
    picture.host.append(this.canvas);
    picture.moved = () => this.afresh();
    this.afresh();
    if (this.playing) this.run();
  }

  run() {
    this.then = performance.now();
    const turn = (now) => {
      if (!this.playing || !this.canvas.isConnected) return;
      const by = ((now - this.then) / 1000 / SECONDS) * this.holes.length;
      if (by >= 1) {
        this.then = now;
        this.to(this.done + by);
      }
      if (this.done >= this.holes.length) {
        this.playing = false;
        this.changed();
      } else {
        requestAnimationFrame(turn);
      }
    };
    requestAnimationFrame(turn);
  }

  to(done) {
    const before = this.done;
    this.done = Math.max(0, Math.min(this.holes.length, done));
    if (this.done < before) this.afresh();
    else this.paint();
    this.told?.();
  }

  toggle() {
    if (!this.playing && this.done >= this.holes.length) {
      this.done = 0;
      this.afresh();
    }
    this.playing = !this.playing;
    if (this.playing) this.run();
    this.changed();
  }

  /** Begins the canvas anew, at the picture's present size and place. */
  afresh() {
    const ratio = Math.min(devicePixelRatio || 1, 2);
    const [w, hgt] = this.picture.size;
    this.canvas.width = w * ratio;
    this.canvas.height = hgt * ratio;
    const { scale, left, top } = this.picture.place();
    this.map = ([x, y]) => [(left + x * scale) * ratio, (top + y * scale) * ratio];
    this.pen = this.canvas.getContext("2d");
    this.pen.strokeStyle = getComputedStyle(this.picture.host).getPropertyValue("--blue");
    this.pen.lineWidth = 1.15 * ratio;
    this.pen.lineCap = "round";
    this.pen.globalAlpha = 0.6;
    this.painted = 0;
    this.paint();
  }

  paint() {
    const end = Math.floor(this.done);
    this.pen.beginPath();
    for (let i = Math.max(1, this.painted); i < end; i += 1) {
      if (this.breaks.has(i)) continue;
      this.pen.moveTo(...this.map(this.holes[i - 1]));
      this.pen.lineTo(...this.map(this.holes[i]));
    }
    this.pen.stroke();
    this.painted = Math.max(this.painted, end);
  }

  end() {
    this.playing = false;
    this.picture.moved = null;
    this.canvas.remove();
  }
}

/** The bar under the picture while it sews. */
export function sewBar(sewing, minutes, stop) {
  const share = () => sewing.done / sewing.holes.length;
  const words = () => `stitch ${Math.floor(sewing.done).toLocaleString("en")}`;
  return h(
    "div",
    { class: "sewbar", key: "sewbar", made: (node) => {
      sewing.told = () => {
        node.querySelector("input").value = String(Math.round(share() * 1000));
        node.querySelector("input").style.setProperty("--at", `${(share() * 100).toFixed(1)}%`);
        node.querySelector("output").textContent = words();
      };
      sewing.told();
    } },
    h("button", { class: "plain", onclick: () => sewing.toggle() }, sewing.playing ? "Pause" : "Carry on"),
    h("input", { type: "range", min: 0, max: 1000, "aria-label": `How far it is sewn, of ${Math.round(minutes)} minutes`, oninput: (event) => {
      sewing.playing = false;
      sewing.to((event.target.value / 1000) * sewing.holes.length);
    } }),
    h("output", null, words()),
    h("button", { class: "plain", onclick: stop }, "Stop"),
  );
}
