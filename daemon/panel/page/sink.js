// The sink rate on one line: now above it; what holds the path and what regains it below.
import { make, put, show, sized, write } from "./draw.js";
import { isOnPath, known, layoutOf, number } from "./words.js";

export class SinkLine {
  constructor(figure) {
    this.figure = figure;
    this.size = sized(figure, () => this.redraw());
    this.still = make("g", {}, figure);
    this.marks = ["now", "hold", "regain"].map((name) => ({
      name,
      sign: make("path", { class: `sink-${name}` }, figure),
      text: make("text", { class: `sink-text sink-${name}-text`, "text-anchor": "middle" }, figure),
    }));
  }

  take({ now }) {
    const usable = now && layoutOf(now) === "approach" && known(now.vertical_speed_fpm) && known(now.sink_to_hold_fpm);
    this.figure.closest("figure").hidden = !usable;
    this.now = usable ? now : null;
    if (!usable) return;
    const most = Math.max(-now.vertical_speed_fpm, now.sink_to_hold_fpm, now.sink_to_regain_fpm ?? 0);
    const top = this.top && most < this.top * 0.97 && most > this.top * 0.4 ? this.top : [800, 1200, 2000, 3000, 5000].find((each) => each > most * 1.15) ?? 8000;
    if (top !== this.top) {
      this.top = top;
      this.redraw();
    }
    this.move();
  }

  x(rate) {
    const { width, rem } = this.size;
    const held = Math.max(-this.top * 0.12, Math.min(rate, this.top));
    return rem * 0.6 + ((held + this.top * 0.12) / (this.top * 1.12)) * (width - rem * 3.6);
  }

  redraw() {
    this.still.replaceChildren();
    if (!this.now || !this.size.width) return;
    const y = this.size.rem * 1.9;
    make("line", { class: "ground", x1: this.x(-this.top), x2: this.x(this.top), y1: y, y2: y }, this.still);
    const gap = this.top > 2500 ? 500 : this.top > 1000 ? 200 : 100;
    for (let rate = 0; rate <= this.top; rate += gap / 2) {
      const long = rate % gap === 0;
      make("line", { class: "tick", x1: this.x(rate), x2: this.x(rate), y1: y - (long ? 4 : 2), y2: y }, this.still);
    }
    make("text", { class: "scale", x: this.x(0), y: y - this.size.rem * 0.5 }, this.still, "0");
    make("text", { class: "scale", x: this.x(this.top) + this.size.rem * 1.5, y: y + this.size.rem * 0.3 }, this.still, number(this.top));
    this.move();
  }

  move() {
    const { now, size } = this;
    if (!now || !size.width) return;
    const [y, rem] = [size.rem * 1.9, size.rem];
    const rates = { now: -now.vertical_speed_fpm, hold: now.sink_to_hold_fpm, regain: known(now.sink_to_regain_fpm) ? Math.max(now.sink_to_regain_fpm, 0) : null };
    const near = known(rates.regain) && Math.abs(this.x(rates.regain) - this.x(rates.hold)) < rem * 5.4;
    for (const { name, sign, text } of this.marks) {
      const rate = rates[name];
      const drawn = known(rate) && !(name === "regain" && (Math.abs(rate - rates.hold) < 20 || isOnPath(now)));
      show(sign, drawn);
      show(text, drawn);
      if (!drawn) continue;
      const x = this.x(rate);
      const up = name === "now" ? -1 : 1;
      put(sign, { d: `M${x},${y + up * 2}l${-rem * 0.32},${up * rem * 0.62}h${rem * 0.64}Z` });
      write(text, rate < -25 ? `${name}: climb ${number(-rate, 10)}` : `${name} ${number(rate, 10)}`);
      const row = name === "now" ? -0.95 : name === "regain" && near ? 2.75 : 1.65;
      const half = text.getComputedTextLength() / 2;
      put(text, { x: Math.min(Math.max(x, half + 2), size.width - half - 2), y: y + rem * row });
    }
  }
}
