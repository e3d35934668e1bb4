// The side view: height over distance to the threshold, flying from left to right.
import { dimension, inbound, legend, line, make, points, put, show, sized, step, write } from "./draw.js";
import { abovePath, feet, isBeside, known, miles, number } from "./words.js";

const FT_PER_NM = 1852 / 0.3048;
const RANGES = [1, 2, 3, 5, 8, 12, 20, 35, 60];
const BAND_DEG = 0.35;
const GATES_FT = [1000, 500];

export class SideView {
  constructor(figure) {
    this.figure = figure;
    this.size = sized(figure, () => this.redraw());
    this.still = make("g", {}, figure);
    this.trail = make("polyline", { class: "trail" }, figure);
    this.lead = make("line", { class: "lead" }, figure);
    this.leadEnd = make("circle", { class: "lead-end", r: 3 }, figure);
    this.gap = make("path", { class: "gap" }, figure);
    this.gapText = make("text", { class: "gap-text" }, figure);
    this.leadText = make("text", { class: "lead-text" }, figure);
    this.leadKey = make("line", { class: "lead" }, figure);
    this.own = make("circle", { class: "own", "data-own": "side" }, figure);
    this.ownText = make("text", { class: "own-text" }, figure);
  }

  take({ now, sheet, trail }) {
    const usable = now && sheet && !isBeside(now) && known(now.distance_to_threshold_nm) && known(now.height_above_threshold_ft) && now.runway === sheet.anchor;
    this.figure.classList.toggle("empty", !usable);
    [this.now, this.sheet, this.trace] = [usable ? now : null, sheet, trail];
    if (usable) this.rescale();
    this.move();
  }

  rescale() {
    const { now, sheet } = this;
    const range = step(RANGES, Math.max(now.distance_to_threshold_nm * 1.08, 0.6), this.range);
    const tall = range * FT_PER_NM * Math.tan((sheet.angle_deg * Math.PI) / 180) * 1.35 + 120;
    const top = step([tall, tall * 1.6, tall * 2.6, tall * 4.2, tall * 7, tall * 12], now.height_above_threshold_ft * 1.12);
    if (range === this.range && top === this.top && sheet === this.drawn) return;
    Object.assign(this, { range, top, drawn: sheet });
    this.redraw();
  }

  x(distance) {
    const { width, rem } = this.size;
    const beyond = Math.max(this.range * 0.1, 0.12);
    const [left, right] = [rem * 0.4, width - rem * 0.4];
    return right - ((distance + beyond) / (this.range + beyond)) * (right - left);
  }

  y(height) {
    const { height: tall, rem } = this.size;
    const [top, ground] = [rem * 0.6, tall - rem * 2.1];
    return ground - (height / this.top) * (ground - top);
  }

  pathHeight(distance, more = 0) {
    const { angle_deg: angle, crossing_ft: crossing } = this.sheet;
    const beyond = crossing / Math.tan((angle * Math.PI) / 180);
    return (distance * FT_PER_NM + beyond) * Math.tan(((angle + more) * Math.PI) / 180);
  }

  redraw() {
    this.still.replaceChildren();
    if (!this.now || !this.size.width) return;
    this.drawGround();
    this.drawGrid();
    this.drawPath();
    this.drawGates();
    this.move();
  }

  drawGround() {
    const { still, size } = this;
    const ground = this.y(0);
    let hatch = "";
    for (let x = -8; x < size.width; x += 7) hatch += `M${x},${ground + 9}l9,-9`;
    make("path", { class: "hatch", d: hatch }, still);
    make("line", { class: "ground", x1: 0, x2: size.width, y1: ground, y2: ground }, still);
    const far = this.x(-this.sheet.length_ft / FT_PER_NM);
    make("rect", { class: "surface", x: this.x(0), y: ground - 2, width: Math.max(far - this.x(0), 2), height: 5 }, still);
  }

  drawGrid() {
    const { still, size } = this;
    const ground = this.y(0);
    const gap = [0.25, 0.5, 1, 2, 5, 10].find((each) => this.range / each <= Math.max(3, size.width / (size.rem * 5)));
    for (let d = 0; d <= this.range + 1e-6; d += gap) {
      const x = this.x(d);
      make("line", { class: "tick", x1: x, x2: x, y1: ground, y2: ground + size.rem * 0.75 }, still);
      const name = d === 0 ? "threshold" : String(Math.round(d * 100) / 100);
      const label = make("text", { class: "scale", "data-distance": d, "data-x": x.toFixed(2), x, y: ground + size.rem * 1.75 }, still, name);
      const half = label.getComputedTextLength() / 2;
      put(label, { x: Math.min(Math.max(x, half + 2), size.width - half - 2) });
    }
    const rows = Math.max(2, Math.floor((ground - this.y(this.top)) / (size.rem * 2.6)));
    const rise = [100, 200, 500, 1000, 2000, 5000, 10000, 20000].find((each) => this.top / each <= rows) ?? 50000;
    for (let h = rise; h <= this.top; h += rise) {
      const y = this.y(h);
      make("line", { class: "rule", x1: 0, x2: size.width, y1: y, y2: y }, still);
      make("text", { class: "scale height", "data-height": h, "data-y": y.toFixed(2), x: 2, y: y - 3 }, still, number(h));
    }
  }

  drawPath() {
    const { still, range } = this;
    const from = range * 1.1;
    const foot = -this.sheet.crossing_ft / Math.tan((this.sheet.angle_deg * Math.PI) / 180) / FT_PER_NM;
    const corner = (distance, more) => [this.x(distance), this.y(this.pathHeight(distance, more))];
    make("polygon", { class: "band", points: points([corner(foot, 0), corner(from, BAND_DEG), corner(from, -BAND_DEG)]) }, still);
    const [x1, y1] = corner(from, 0);
    const [x2, y2] = corner(0, 0);
    make("line", { class: "path", x1, y1, x2, y2 }, still);
  }

  drawGates() {
    for (const gate of GATES_FT) {
      const distance = (gate - this.sheet.crossing_ft) / (FT_PER_NM * Math.tan((this.sheet.angle_deg * Math.PI) / 180));
      if (distance > this.range || gate > this.top) continue;
      const [x, y] = [this.x(distance), this.y(gate)];
      const arm = this.size.rem * 0.7;
      make("path", { class: "gate", d: `M${x},${y - arm}V${y + arm}M${x - 3},${y - arm}h6M${x - 3},${y + arm}h6` }, this.still);
      const label = make("text", { class: "gate-text", x: x - 6, y: y + arm + this.size.rem * 0.3 }, this.still, `gate ${number(gate)}`);
      if (label.getComputedTextLength() > x - 6) label.remove(); // half a name tells nothing
    }
  }

  move() {
    const { now, size } = this;
    const parts = [this.trail, this.lead, this.leadEnd, this.gap, this.gapText, this.leadText, this.leadKey, this.own, this.ownText];
    const drawn = Boolean(now && size.width && this.range);
    for (const part of parts) show(part, drawn);
    if (!drawn) return;
    const [x, y] = [this.x(now.distance_to_threshold_nm), this.y(now.height_above_threshold_ft)];
    put(this.own, { cx: x, cy: y, r: Math.max(4.5, size.rem * 0.3) });
    this.moveTrail(x, y);
    this.moveLead(now, x, y);
    this.moveGap(now, x, y);
  }

  moveTrail(x, y) {
    const list = [];
    for (const [along, , altitude] of inbound(this.trace ?? [])) {
      const distance = -along / FT_PER_NM;
      if (altitude === null || distance > this.range * 1.05) continue;
      list.push([this.x(distance), this.y(altitude - this.sheet.elevation_ft)]);
    }
    list.push([x, y]);
    put(this.trail, { points: points(list) });
  }

  moveLead(now, x, y) {
    const { size } = this;
    const closing = now.groundspeed_kt * Math.cos(((now.course_difference_deg ?? 0) * Math.PI) / 180);
    const slope = (now.vertical_speed_fpm * 60) / closing; // feet per NM towards the runway
    const led = known(now.vertical_speed_fpm) && closing > 20;
    for (const part of [this.lead, this.leadEnd, this.leadText, this.leadKey]) show(part, led);
    if (!led) return;
    const [to, atThreshold] = [now.distance_to_threshold_nm, now.height_above_threshold_ft + slope * now.distance_to_threshold_nm];
    const short = atThreshold < 0 ? to - now.height_above_threshold_ft / -slope : 0;
    const [endX, endY] = [this.x(short), this.y(Math.max(atThreshold, 0))];
    line(this.lead, x, y, endX, endY);
    put(this.leadEnd, { cx: endX, cy: endY });
    const says = short > 0.05 ? `ends ${miles(short)} short` : atThreshold < 15 ? "ends at the threshold" : `ends ${feet(atThreshold)} over the threshold`;
    legend(this.leadText, this.leadKey, `this sink ${says}`, size);
  }

  // Above the path the words stand over the aircraft, below it under: there nothing else is drawn.
  moveGap(now, x, y) {
    const { size } = this;
    const words = abovePath(now);
    const wide = words !== null && Math.abs(this.y(now.path_height_ft) - y) > 6;
    show(this.gap, wide);
    if (wide) dimension(this.gap, x, y, x, this.y(now.path_height_ft));
    show(this.gapText, words !== null);
    write(this.gapText, words ?? "");
    write(this.ownText, `${feet(now.height_above_threshold_ft)} up`);
    const width = Math.max(this.gapText.getComputedTextLength(), this.ownText.getComputedTextLength());
    const over = !wide || now.height_above_path_ft >= 0;
    const wanted = over ? x + size.rem * 0.5 : x - size.rem * 0.5 - width;
    const left = Math.min(Math.max(wanted, 3), size.width - width - 3);
    const away = size.rem * 0.8 + Math.abs(left - wanted) * 0.42;
    const first = over ? Math.max(y - away - size.rem * 1.15, size.rem * 2.3) : Math.min(y + away + size.rem * 0.6, this.y(0) - size.rem * 1.4);
    put(this.gapText, { x: left, y: first });
    put(this.ownText, { x: left, y: first + size.rem * 1.15 });
  }
}
