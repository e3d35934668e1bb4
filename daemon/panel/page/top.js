// The view from above. On the approach it lies under the side view on the same distances, drawn wider than long; on
// the ground and en route it is true to shape with north at the top.
import { dart, dimension, inbound, latest, legend, line, make, points, put, show, sized, step, write } from "./draw.js";
import { besideCentreline, designator, feet, known, layoutOf, miles, plannedHere } from "./words.js";

const FT_PER_NM = 1852 / 0.3048;
const ACROSS_FT = [800, 1500, 3000, 6000, 12000, 25000, 50000, 100000];
const REACH_NM = [0.3, 0.5, 0.8, 1.2, 2, 3, 5, 8, 12, 20, 35, 60, 100, 200];
const FARTHEST_NM = 150;
const BESIDE_FT = 6500;
const MEETS_FT = 300;
const GROUND_TRAIL_FT = 9000;

export class TopView {
  constructor(figure, side) {
    [this.figure, this.side] = [figure, side];
    this.size = sized(figure, () => this.redraw());
    this.still = make("g", {}, figure);
    this.trail = make("polyline", { class: "trail" }, figure);
    this.lead = make("line", { class: "lead" }, figure);
    this.leadMarks = make("path", { class: "lead-marks" }, figure);
    this.gap = make("path", { class: "gap" }, figure);
    this.down = make("path", { class: "gap" }, figure);
    this.downText = make("text", { class: "own-text" }, figure, "start down");
    this.own = make("path", { class: "own", "data-own": "top" }, figure);
    this.gapText = make("text", { class: "gap-text" }, figure);
    this.leadText = make("text", { class: "lead-text" }, figure);
    this.leadKey = make("line", { class: "lead" }, figure);
    this.frame = make("g", {}, figure);
  }

  take({ now, sheet, trail }) {
    const usable = now && sheet && now.place_ft;
    this.figure.classList.toggle("empty", !usable);
    [this.now, this.sheet, this.trace] = [usable ? now : null, sheet, trail];
    if (usable) this.rescale();
    this.move();
  }

  rescale() {
    const { now, sheet } = this;
    this.joined = layoutOf(now) === "approach" && now.runway === sheet.anchor && Boolean(this.side.range);
    const key = [this.joined, this.joined ? this.across() : this.reach(), this.side.range, now.tracked_runway, now.surface_runway, layoutOf(now)].join();
    if (key === this.key && sheet === this.drawn) return;
    Object.assign(this, { key, drawn: sheet });
    this.redraw();
  }

  across() {
    const beside = this.sheet.ends.filter((end) => Math.abs(end.turned_deg) < 20 && Math.abs(end.place_ft[1]) < BESIDE_FT && Math.abs(end.place_ft[0]) < 30000);
    const need = Math.max(Math.abs(this.now.offset_ft) * 1.25, ...beside.map((end) => Math.abs(end.place_ft[1]) * 1.35), 500);
    return (this.half = step(ACROSS_FT, need, this.half));
  }

  // What has to be on a map: own place, and the destination or the airfield around it.
  reach() {
    const own = this.east(this.now.place_ft);
    let [far, middle] = [0.25, own];
    if (layoutOf(this.now) === "ground") {
      const near = this.sheet.ends.map((end) => this.east(end.place_ft)).filter((each) => Math.hypot(each[0] - own[0], each[1] - own[1]) < 3 * FT_PER_NM);
      near.push(own);
      const [es, ns] = [near.map((each) => each[0]), near.map((each) => each[1])];
      middle = [(Math.min(...es) + Math.max(...es)) / 2, (Math.min(...ns) + Math.max(...ns)) / 2];
      far = this.fits(near, middle) * 1.12;
    } else {
      const goal = this.goal();
      const list = [own, this.ahead(own, 150)];
      if (goal && Math.hypot(goal[0] - own[0], goal[1] - own[1]) < FARTHEST_NM * FT_PER_NM) list.push(goal);
      const [es, ns] = [list.map((each) => each[0]), list.map((each) => each[1])];
      middle = [(Math.min(...es) + Math.max(...es)) / 2, (Math.min(...ns) + Math.max(...ns)) / 2];
      far = Math.max(this.fits(list, middle) * 1.25, 1.5);
    }
    this.middle = middle;
    return (this.radius = step(REACH_NM, far, this.radius));
  }

  // Nautical miles that half the figure's shorter side must hold, so that all places fit.
  fits(list, [e, n]) {
    const { width, height } = this.size;
    const shorter = Math.min(width, height) || 1;
    return Math.max(...list.map((each) => Math.max(Math.abs(each[0] - e) * (shorter / (width || 1)), Math.abs(each[1] - n) * (shorter / (height || 1))))) / FT_PER_NM;
  }

  goal() {
    const arrival = this.sheet.ends.find((end) => end.name === this.now.runway);
    const place = this.sheet.field?.place_ft ?? arrival?.place_ft;
    return place ? this.east(place) : null;
  }

  ahead([e, n], seconds) {
    const track = ((this.now.track_true_deg ?? 0) * Math.PI) / 180;
    const far = ((this.now.groundspeed_kt ?? 0) * seconds * FT_PER_NM) / 3600;
    return [e + Math.sin(track) * far, n + Math.cos(track) * far];
  }

  // East and north of the anchor, in feet.
  east([along, across]) {
    const course = (this.sheet.course_deg * Math.PI) / 180;
    return [along * Math.sin(course) + across * Math.cos(course), along * Math.cos(course) - across * Math.sin(course)];
  }

  // Pixels of a place; for a map without the shift, which the layer carries.
  xy(place) {
    if (this.joined) return [this.side.x(-place[0] / FT_PER_NM), this.size.height / 2 + (place[1] / this.half) * this.halfPixels()];
    const [e, n] = this.east(place);
    const k = this.scale();
    return [e * k, -n * k];
  }

  halfPixels() {
    return this.size.height / 2 - this.size.rem * 0.8;
  }

  scale() {
    return Math.min(this.size.width, this.size.height) / 2 / (this.radius * FT_PER_NM);
  }

  shift() {
    if (this.joined) return [0, 0];
    const k = this.scale();
    return [this.size.width / 2 - this.middle[0] * k, this.size.height / 2 + this.middle[1] * k];
  }

  redraw() {
    this.names = [];
    this.still.replaceChildren();
    this.frame.replaceChildren();
    if (!this.now || !this.size.width) return;
    this.drawCentreline();
    for (const end of this.sheet.ends) this.drawSurface(end);
    for (const end of this.sheet.ends) this.drawName(end);
    if (!this.joined) {
      this.drawRoute();
      this.drawMap();
    }
    this.move();
  }

  corner(end, along, across) {
    const turn = (end.turned_deg * Math.PI) / 180;
    return [end.place_ft[0] + along * Math.cos(turn) - across * Math.sin(turn), end.place_ft[1] + along * Math.sin(turn) + across * Math.cos(turn)];
  }

  // The end that is meant: on the ground the plan's at this airfield, in flight the one that the numbers are about.
  isMine(end) {
    return end.name === (layoutOf(this.now) === "ground" ? plannedHere(this.now, this.sheet) ?? this.now.surface_runway : this.now.runway);
  }

  drawSurface(end) {
    const field = end.name.slice(0, end.name.indexOf("/"));
    const twin = this.sheet.ends.find((other) => other.name === `${field}/${end.opposite}`);
    if (twin && !this.isMine(end) && (this.isMine(twin) || end.runway > twin.runway)) return;
    const half = Math.max(end.width_ft / 2, this.joined ? 0 : 1.6 / this.scale());
    const shape = [[-end.displaced_ft, -half], [end.length_ft, -half], [end.length_ft, half], [-end.displaced_ft, half]];
    make("polygon", { class: this.isMine(end) ? "surface mine" : "surface other", "data-end": end.name, points: points(shape.map(([a, c]) => this.xy(this.corner(end, a, c)))) }, this.still);
  }

  drawName(end) {
    const layout = layoutOf(this.now);
    if (this.joined && Math.abs(end.turned_deg) > 40) return;
    if (!this.joined && this.radius > 4) return this.drawField(end);
    const mine = this.isMine(end);
    const [x, y] = this.xy(end.place_ft);
    const [bx, by] = this.xy(this.corner(end, -100, 0));
    const far = Math.hypot(bx - x, by - y) || 1;
    const tracked = layout === "ground" ? end.name === this.now.surface_runway : end.name === this.now.tracked_runway;
    const name = end.runway + (tracked && !mine && layout !== "ground" ? " (tracked)" : "");
    const out = this.size.rem * 1.05;
    const turn = { x: x + ((bx - x) / far) * out, y: y + ((by - y) / far) * out + this.size.rem * 0.32, "text-anchor": "middle" };
    // Beside a runway that is flown to by mistake the track comes in on the far side of the name.
    const beneath = end.place_ft[1] > 0 && !(tracked && !mine);
    if (this.joined) Object.assign(turn, { x: x - 5, y: y + (beneath ? 1 : -0.35) * this.size.rem, "text-anchor": "end" });
    this.clear(turn);
    make("text", { class: `runway-name${mine ? " mine" : ""}${tracked && !mine ? " tracked" : ""}`, ...turn }, this.still, name);
  }

  // Names of close parallels would lie on each other: the later one steps aside.
  clear(place) {
    const rem = this.size.rem;
    for (const [x, y] of this.names) {
      const off = place.y - y;
      if (Math.abs(place.x - x) < rem * 2.2 && Math.abs(off) < rem * 0.95) place.y = y + (off < 0 ? -1 : 1) * rem * 0.95;
    }
    this.names.push([place.x, place.y]);
  }

  // Far away a whole airfield has one name, at the first of its ends.
  drawField(end) {
    const field = end.name.slice(0, end.name.indexOf("/"));
    if (this.sheet.ends.find((other) => other.name.startsWith(field + "/")) !== end) return;
    const [x, y] = this.xy(end.place_ft);
    const goal = this.sheet.field?.ident === field;
    make("circle", { class: "field", cx: x, cy: y, r: goal ? this.size.rem * 0.55 : 3.5 }, this.still);
    const name = goal && this.sheet.field.name ? `${field} ${this.sheet.field.name}` : field;
    make("text", { class: goal ? "runway-name mine" : "runway-name", x, y: y + this.size.rem * 1.7, "text-anchor": "middle" }, this.still, name);
  }

  drawCentreline() {
    const end = this.sheet.ends.find((each) => this.isMine(each));
    if (!end || layoutOf(this.now) === "ground") return;
    const out = this.joined ? this.side.range * FT_PER_NM * 1.1 : 8 * FT_PER_NM;
    const [x1, y1] = this.xy(this.corner(end, -out, 0));
    const [x2, y2] = this.xy(this.corner(end, this.joined ? end.length_ft * 1.6 : 0, 0));
    make("line", { class: "centreline", x1, y1, x2, y2 }, this.still);
    if (!this.joined) return;
    for (let mile = 1; mile <= this.side.range; mile += this.side.range > 12 ? 5 : 1) {
      const [x, y] = this.xy(this.corner(end, -mile * FT_PER_NM, 0));
      make("line", { class: "tick", x1: x, x2: x, y1: y - 3, y2: y + 3 }, this.still);
    }
  }

  drawRoute() {
    const fixes = this.sheet.fixes ?? [];
    if (!fixes.length || layoutOf(this.now) === "ground") return;
    const goal = this.goalPlace();
    make("polyline", { class: "route", points: points([...fixes.map((fix) => fix.place_ft), ...(goal ? [goal] : [])].map((place) => this.xy(place))) }, this.still);
    for (const fix of fixes) {
      const [x, y] = this.xy(fix.place_ft);
      const arm = this.size.rem * 0.35;
      make("path", { class: "fix", d: `M${x},${y - arm}l${arm},${arm * 1.7}h${-2 * arm}Z` }, this.still);
      make("text", { class: "runway-name", x: x + arm * 1.8, y: y + arm }, this.still, fix.name);
    }
  }

  drawMap() {
    const { frame, size } = this;
    const [x, y, rem] = [size.width - size.rem * 0.9, size.rem * 0.5, size.rem];
    make("path", { class: "north", d: `M${x},${y + rem * 2.4}V${y}M${x - rem * 0.3},${y + rem * 0.6}L${x},${y}L${x + rem * 0.3},${y + rem * 0.6}` }, frame);
    make("text", { class: "scale", x, y: y + rem * 3.4, "text-anchor": "middle" }, frame, "N");
    const bar = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50].findLast((each) => each <= this.radius * 0.55) ?? 0.1;
    const long = bar * FT_PER_NM * this.scale();
    const [left, foot] = [rem * 0.6, size.height - rem * 0.8];
    make("path", { class: "bar", d: `M${left},${foot - 5}v5h${long}v-5M${left + long / 2},${foot}v-3` }, frame);
    make("text", { class: "scale height", x: left + long + rem * 0.4, y: foot }, frame, `${bar} NM`);
  }

  move() {
    const { now, size } = this;
    const moving = [this.down, this.downText, this.trail, this.lead, this.leadMarks, this.gap, this.own, this.gapText, this.leadText, this.leadKey];
    const drawn = Boolean(now && size.width && (this.joined ? this.half : this.radius));
    for (const part of moving) show(part, drawn);
    if (!drawn) return;
    const shift = this.shift();
    put(this.still, { transform: `translate(${shift[0].toFixed(1)},${shift[1].toFixed(1)})` });
    const at = (place) => { const [x, y] = this.xy(place); return [x + shift[0], y + shift[1]]; };
    const [x, y] = at(now.place_ft);
    const list = this.recent().map((place) => at(place));
    put(this.trail, { points: points([...list, [x, y]]) });
    this.moveLead(now, at, x, y);
    this.moveGap(now, at, x, y);
    this.moveDown(now, at, x, y);
  }

  // On the approach the way in, on the ground the last stretch, en route the whole way.
  recent() {
    const trail = this.trace ?? [];
    if (this.joined) return inbound(trail);
    return layoutOf(this.now) === "ground" ? latest(trail, GROUND_TRAIL_FT) : trail;
  }

  moveLead(now, at, x, y) {
    const track = (((now.track_true_deg ?? now.heading_true_deg ?? 0) - this.sheet.course_deg) * Math.PI) / 180;
    const heading = (((now.heading_true_deg ?? now.track_true_deg ?? 0) - this.sheet.course_deg) * Math.PI) / 180;
    const along = (feetOn, turn = track) => at([now.place_ft[0] + Math.cos(turn) * feetOn, now.place_ft[1] + Math.sin(turn) * feetOn]);
    const [hx, hy] = along(500, layoutOf(now) === "ground" ? heading : track);
    dart(this.own, x, y, (Math.atan2(hx - x, y - hy) * 180) / Math.PI, Math.max(9, this.size.rem * 0.68));
    const perMinute = ((now.groundspeed_kt ?? 0) / 60) * FT_PER_NM;
    const led = now.groundspeed_kt > 20;
    show(this.leadKey, led && this.joined);
    for (const part of [this.lead, this.leadMarks, this.leadText]) show(part, led);
    if (!led) return;
    if (this.joined) this.leadToThreshold(now, track, along, x, y);
    else this.leadOn(along, perMinute, x, y);
  }

  leadToThreshold(now, track, along, x, y) {
    const closing = Math.cos(track);
    const far = closing > 0.1 ? -now.place_ft[0] / closing : 0;
    show(this.lead, far > 0);
    show(this.leadText, far > 0);
    show(this.leadKey, far > 0);
    show(this.leadMarks, false);
    if (far <= 0) return;
    const [ex, ey] = along(far);
    line(this.lead, x, y, ex, ey);
    const miss = now.place_ft[1] + Math.sin(track) * far;
    const other = this.sheet.ends.find((end) => end.name === now.tracked_runway && end.name !== now.runway);
    const meets = other && Math.abs(miss - other.place_ft[1]) < MEETS_FT; // the words say what the line shows
    const where = meets ? designator(other.name) : (Math.abs(miss) < 60 ? "the threshold" : `${feet(Math.abs(miss))} ${miss > 0 ? "right" : "left"} of it`);
    legend(this.leadText, this.leadKey, `this track leads to ${where}`, this.size);
  }

  leadOn(along, perMinute, x, y) {
    const minutes = [1, 2, 5, 10, 20].find((each) => each * perMinute > this.radius * FT_PER_NM * 0.28) ?? 20;
    const [ex, ey] = along(perMinute * minutes);
    line(this.lead, x, y, ex, ey);
    const [nx, ny] = [(-(ey - y) / (Math.hypot(ex - x, ey - y) || 1)) * 4, ((ex - x) / (Math.hypot(ex - x, ey - y) || 1)) * 4];
    put(this.leadMarks, { d: `M${ex - nx},${ey - ny}L${ex + nx},${ey + ny}` });
    write(this.leadText, `${minutes} min`);
    put(this.leadText, { x: ex + (nx > 0 ? 6 : 6), y: ey + (ey > y ? 12 : -6) });
  }

  moveGap(now, at, x, y) {
    const ground = layoutOf(now) === "ground";
    const [words, place] = this.joined ? [besideCentreline(now), [now.place_ft[0], 0]] : ground ? this.aheadOf(now) : [this.goalWords(now), this.goalPlace()];
    const foot = place ? at(place) : null;
    const drawn = words !== null && foot !== null && Math.hypot(foot[0] - x, foot[1] - y) > 9;
    show(this.gap, drawn);
    show(this.gapText, words !== null);
    if (drawn) dimension(this.gap, x, y, foot[0], foot[1]);
    if (words === null) return;
    write(this.gapText, words);
    const { width, height, rem } = this.size;
    const half = this.gapText.getComputedTextLength() / 2;
    // Beyond the centreline, where neither the way in nor the way on is drawn.
    const line = this.joined ? this.xy([now.place_ft[0], 0])[1] : y;
    let [tx, ty] = [x + rem * 0.3 + half, line + rem * (drawn && now.offset_ft > 0 ? -0.6 : 1.5)];
    if (!this.joined && drawn) [tx, ty] = beside(x, y, foot[0], foot[1], half, rem);
    const right = this.joined ? Math.max(this.side.x(0) - rem * 2.4, half * 2 + 3) : width - 3;
    put(this.gapText, { x: Math.min(Math.max(tx, half + 3), right - half), y: Math.min(Math.max(ty, rem * 1.1), height - 5), "text-anchor": "middle" });
  }

  // Where to start down, on the straight line to the destination.
  moveDown(now, at, x, y) {
    const share = now.top_of_descent_nm / now.distance_to_destination_nm;
    const drawn = layoutOf(now) === "route" && now.next_point === now.destination && share > 0.02 && share < 1;
    show(this.down, drawn);
    show(this.downText, drawn);
    if (!drawn) return;
    const goal = at(this.goalPlace());
    const [mx, my] = [x + (goal[0] - x) * share, y + (goal[1] - y) * share];
    const long = Math.hypot(goal[0] - x, goal[1] - y) || 1;
    const [nx, ny] = [(-(goal[1] - y) / long) * 6, ((goal[0] - x) / long) * 6];
    put(this.down, { d: `M${(mx - nx).toFixed(1)},${(my - ny).toFixed(1)}L${(mx + nx).toFixed(1)},${(my + ny).toFixed(1)}` });
    put(this.downText, { x: mx, y: my + Math.abs(ny) + this.size.rem, "text-anchor": "middle" });
  }

  // On a runway: how much of it is ahead.
  aheadOf(now) {
    const end = this.sheet.ends.find((each) => each.name === now.surface_runway);
    if (!end) return [null, null];
    return known(now.runway_ahead_ft) ? [`${feet(now.runway_ahead_ft)} ahead`, this.corner(end, end.length_ft, 0)] : [null, null];
  }

  goalPlace() {
    return this.sheet.field?.place_ft ?? this.sheet.ends.find((end) => end.name === this.now.runway)?.place_ft;
  }

  goalWords(now) {
    if (!known(now.distance_to_destination_nm)) return null;
    const far = miles(now.distance_to_destination_nm);
    if (!known(now.past_destination_nm) || now.closing_speed_kt >= 0) return far;
    const straight = now.past_destination_nm > now.distance_to_destination_nm * 0.9;
    return straight ? `past by ${miles(now.past_destination_nm)}` : `${far} behind, past by ${miles(now.past_destination_nm)}`;
  }

  // How much wider than long the drawing is, for the caption.
  widened() {
    if (!this.joined || !this.half) return null;
    const perFoot = Math.abs(this.side.x(1) - this.side.x(0)) / FT_PER_NM;
    return this.halfPixels() / this.half / perFoot;
  }
}

// Where words stand beside the middle of a line: clear of it on its upper side, or right of an upright one.
function beside(x1, y1, x2, y2, half, rem) {
  const length = Math.hypot(x2 - x1, y2 - y1) || 1;
  let [nx, ny] = [-(y2 - y1) / length, (x2 - x1) / length];
  if (ny > 0.02 || (Math.abs(ny) <= 0.02 && nx < 0)) [nx, ny] = [-nx, -ny];
  const clear = half * Math.abs(nx) + rem * 0.55 * Math.abs(ny) + rem * 0.4;
  return [(x1 + x2) / 2 + nx * clear, (y1 + y2) / 2 + ny * clear + rem * 0.3];
}
