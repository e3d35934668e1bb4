// The numbers in the margin: a label, a value, where it comes from, and in teaching mode the rule of thumb.
import { duration, feet, heading, isOnPath, known, layoutOf, miles, number, plannedHere, rate, runway } from "./words.js";

const kt = (value) => `${number(value)} kt`;
const crosswind = (value) => (Math.abs(value) < 0.5 ? "no crosswind" : `${kt(Math.abs(value))} from the ${value > 0 ? "right" : "left"}`);
const headwind = (value) => (value >= 0 ? `${kt(value)} on the nose` : `${kt(-value)} on the tail`);
const seconds = (nm, speed) => (speed > 20 ? duration((nm / speed) * 3600) : null);

function regain(n) {
  if (!known(n.path_height_ft)) return null;
  if (isOnPath(n)) return "you are on it";
  if (!known(n.sink_to_regain_fpm)) return "not by a gate";
  return n.level_off ? "level off" : rate(n.sink_to_regain_fpm);
}

// key, label, value of the picture, note, rule of thumb: [name of its number, words]
const ROWS = {
  sink: ["Sink now", (n) => known(n.vertical_speed_fpm) && rate(-n.vertical_speed_fpm)],
  hold: ["Sink to hold the path", (n) => known(n.sink_to_hold_fpm) && rate(n.sink_to_hold_fpm), null, ["sink_to_hold_fpm", "5 × groundspeed", rate]],
  regain: ["Sink to regain it", regain, (n) => known(n.sink_to_regain_fpm) && !n.level_off && !isOnPath(n) && `by ${feet(n.next_gate_ft)}`],
  gate: ["Next gate", (n) => known(n.next_gate_ft) ? feet(n.next_gate_ft) : n.height_above_threshold_ft < 500 && "none left", (n) => known(n.next_gate_ft) && known(n.height_above_threshold_ft) && `${feet(Math.max(n.height_above_threshold_ft - n.next_gate_ft, 0))} lower than now`],
  path: ["Path height here", (n) => known(n.path_height_ft) && feet(n.path_height_ft), null, ["path_height_ft", "300 ft for every NM", feet]],
  togo: ["To the threshold", (n) => known(n.distance_to_threshold_nm) && n.distance_to_threshold_nm > 0 && miles(n.distance_to_threshold_nm), (n) => known(n.distance_to_threshold_nm) && seconds(n.distance_to_threshold_nm, n.groundspeed_kt)],
  airspeed: ["True airspeed", (n) => known(n.true_airspeed_kt) && kt(n.true_airspeed_kt), (n) => n.true_airspeed_source, ["true_airspeed_kt", (n) => (n.altitude_ft >= 18000 ? "indicated + flight level / 2" : "indicated + 2 % per 1,000 ft"), kt]],
  ground: ["Groundspeed", (n) => known(n.groundspeed_kt) && kt(n.groundspeed_kt)],
  wind: ["Wind", (n) => known(n.wind_speed_kt) && `${heading(n.wind_from_true_deg, n)} ${kt(n.wind_speed_kt)}`, (n) => n.wind_source],
  along: ["Along the runway", (n) => known(n.headwind_kt) && headwind(n.headwind_kt)],
  cross: ["Across it", (n) => known(n.crosswind_kt) && crosswind(n.crosswind_kt)],
  altitude: ["Altitude", (n) => known(n.altitude_ft) && `${number(n.altitude_ft, 10)} ft`, (n) => n.altitude_source],
  climb: ["Climb or sink", (n) => known(n.vertical_speed_fpm) && `${n.vertical_speed_fpm < -50 ? "down " : n.vertical_speed_fpm > 50 ? "up " : ""}${rate(Math.abs(n.vertical_speed_fpm))}`],
  destination: ["Destination", (n) => known(n.distance_to_destination_nm) && miles(n.distance_to_destination_nm), (n) => known(n.distance_to_destination_nm) && (n.closing_speed_kt > 20 ? seconds(n.distance_to_destination_nm, n.closing_speed_kt) : "not coming nearer")],
  past: ["Past it by", (n) => known(n.past_destination_nm) && n.closing_speed_kt < 0 && miles(n.past_destination_nm)],
  descent: ["Start down", (n) => known(n.top_of_descent_nm) && (n.top_of_descent_nm > 0 ? `in ${miles(n.top_of_descent_nm)}` : `${miles(-n.top_of_descent_nm)} ago`), (n) => known(n.top_of_descent_nm) && n.top_of_descent_nm > 0 && seconds(n.top_of_descent_nm, n.groundspeed_kt)],
  surface: ["Runway beneath", (n) => (n.surface_runway ? runway(n.surface_runway) : "none")],
  leaving: ["The plan's runway", (n, sheet) => plannedHere(n, sheet) && runway(plannedHere(n, sheet))],
  heading: ["Heading", (n) => known(n.heading_true_deg) && heading(n.heading_true_deg, n)],
  ahead: ["Runway ahead", (n) => known(n.runway_ahead_ft) && feet(n.runway_ahead_ft)],
  next: ["Next on the route", (n) => n.next_point && n.next_point !== n.destination && n.next_point, (n) => known(n.distance_to_next_point_nm) && `${miles(n.distance_to_next_point_nm)}, ${heading(n.bearing_to_next_point_deg, n)}`],
  route: ["To go by the route", (n) => known(n.distance_to_go_nm) && n.next_point !== n.destination && miles(n.distance_to_go_nm), (n) => known(n.distance_to_go_nm) && seconds(n.distance_to_go_nm, n.groundspeed_kt)],
  needed: ["Angle down from here", (n) => known(n.descent_angle_needed_deg) && n.descent_angle_needed_deg > 1 && n.descent_angle_needed_deg < 15 && `${n.descent_angle_needed_deg.toFixed(1)}°`],
};
const ONLY_WHEN_KNOWN = new Set(["past", "descent", "togo", "leaving", "ahead", "next", "route", "needed", "along", "cross", "wind"]);
const LAYOUTS = {
  approach: ["sink", "hold", "regain", "gate", "path", "togo", "ground", "airspeed", "wind", "along", "cross"],
  route: ["destination", "past", "next", "route", "descent", "needed", "altitude", "climb", "airspeed", "ground", "wind"],
  ground: ["surface", "leaving", "ahead", "heading", "ground", "wind", "along", "cross", "altitude"],
};

export class Numbers {
  constructor(list) {
    this.list = list;
    this.rows = new Map();
  }

  take({ now, sheet }) {
    if (!now) return;
    const layout = layoutOf(now);
    if (layout !== this.layout) this.lay(layout);
    for (const [key, row] of this.rows) this.fill(row, ROWS[key], now, sheet);
  }

  lay(layout) {
    this.layout = layout;
    this.rows.clear();
    this.list.replaceChildren();
    for (const key of LAYOUTS[layout]) {
      const row = document.createElement("div");
      row.dataset.number = key;
      const [label, value, note, rule] = ["dt", "dd", "dd", "dd"].map((name) => document.createElement(name));
      label.textContent = ROWS[key][0];
      [value.className, note.className, rule.className] = ["value", "note", "rule-of-thumb"];
      row.append(label, value, note, rule);
      this.list.append(row);
      this.rows.set(key, { row, value, note, rule, optional: ONLY_WHEN_KNOWN.has(key) });
    }
  }

  fill({ row, value, note, rule, optional }, [, valueOf, noteOf, ruleOf], now, sheet) {
    const text = valueOf(now, sheet) || "";
    set(value, text || "not known");
    row.classList.toggle("unknown", !text);
    row.hidden = optional && !text;
    set(note, (noteOf && noteOf(now, sheet)) || "");
    const [name, words, unit] = ruleOf ?? [];
    const ruled = name && name in (now.rules ?? {});
    set(rule, ruled ? `Rule: ${typeof words === "function" ? words(now) : words}, ${unit(now.rules[name])}` : "");
  }
}

function set(node, text) {
  if (node.textContent !== text) node.textContent = text;
  node.hidden = text === "";
}
