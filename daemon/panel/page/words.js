// Words: numbers and names as a person reads them.
const whole = new Intl.NumberFormat("en", { maximumFractionDigits: 0 });

export const known = (value) => value !== undefined && value !== null;
export const round = (value, to) => Math.round(value / to) * to;
export const number = (value, to = 1) => whole.format(round(value, to) || 0);

export function feet(value) {
  const size = Math.abs(value);
  return `${number(value, size < 300 ? 10 : size < 3000 ? 50 : 100)} ft`;
}

export function rate(value) {
  return `${number(value, 10)} fpm`;
}

export function miles(value) {
  return `${Math.abs(value) < 10 ? value.toFixed(1) : number(value)} NM`;
}

export function compass(value) {
  return String(((Math.round(value) + 359) % 360) + 1).padStart(3, "0") + "°";
}

// A true direction as it is read in the cockpit: magnetic when the variation is known.
export function heading(value, now) {
  const variation = now.magnetic_variation_deg;
  return known(variation) ? compass(value - variation) : `${compass(value)} true`;
}

export function duration(seconds) {
  const s = Math.max(0, Math.round(seconds));
  if (s < 60) return `${s} s`;
  if (s < 3600) return `${Math.floor(s / 60)} min ${String(s % 60).padStart(2, "0")} s`;
  return `${Math.floor(s / 3600)} h ${String(Math.floor((s % 3600) / 60)).padStart(2, "0")} min`;
}

// A moment as in clock_words.py: never rounded up, hours from 0 to 23.
export function clock(seconds) {
  const s = ((Math.floor(seconds) % 86400) + 86400) % 86400;
  const two = (value) => String(value).padStart(2, "0");
  return `${Math.floor(s / 3600)}:${two(Math.floor((s % 3600) / 60))}:${two(s % 60)}`;
}

// "ZZPS/27L" as "ZZPS 27L".
export const runway = (name) => name.replace("/", " ");
export const designator = (name) => name.slice(name.indexOf("/") + 1);

// The daemon's own rules, told as `on_path` and `beside`: far beside the final approach the height above its path says
// nothing.
export const isOnPath = (now) => known(now.on_path);
export const isBeside = (now) => known(now.beside);

export function abovePath(now) {
  const off = now.height_above_path_ft;
  if (!known(off) || isBeside(now)) return null;
  if (isOnPath(now)) return "on the path";
  return `${feet(Math.abs(off))} ${off > 0 ? "above" : "below"} the path`;
}

export function besideCentreline(now) {
  const off = now.offset_ft;
  if (!known(off)) return null;
  if (Math.abs(off) < 40) return "on the centreline";
  const far = Math.abs(off) > 6000 ? miles(Math.abs(off) / 6076.12) : feet(Math.abs(off));
  return `${far} ${off > 0 ? "right" : "left"} of the centreline`;
}

const ON_GROUND = new Set(["parked", "taxi", "take-off", "landed"]);
const ARRIVING = new Set(["approach", "final"]);

// Which of its three layouts the page takes.
export function layoutOf(now) {
  if (ON_GROUND.has(now.phase)) return "ground";
  if (isBeside(now)) return "route";
  const lined = now.phase === "descent" && known(now.path_height_ft) && Math.abs(now.offset_ft) < 18000 && Math.abs(now.course_difference_deg) < 60;
  return (ARRIVING.has(now.phase) || lined) && known(now.distance_to_threshold_nm) ? "approach" : "route";
}

// One sentence about where the aircraft is.
export function situation(now, sheet) {
  const layout = layoutOf(now);
  if (layout === "ground") return onGround(now, sheet);
  if (layout === "approach") {
    const parts = [abovePath(now), besideCentreline(now)].filter(Boolean);
    const where = now.phase === "final" ? "On final for" : "Approaching";
    if (now.distance_to_threshold_nm < 0) return `Beyond the threshold of ${runway(now.runway)}, ${besideCentreline(now)}.`;
    return `${where} ${runway(now.runway)}, ${miles(now.distance_to_threshold_nm)} to go${parts.length ? ": " : ""}${parts.join(", ")}.`;
  }
  return enRoute(now);
}

// The end that the plan names at the airfield where the aircraft stands.
export function plannedHere(now, sheet) {
  const field = (now.surface_runway ?? sheet?.anchor ?? "").split("/")[0];
  return sheet?.planned?.find((name) => name.startsWith(`${field}/`));
}

function onGround(now, sheet) {
  if (now.phase === "landed") return now.surface_runway ? `Landed on ${runway(now.surface_runway)}.` : "Landed.";
  const planned = plannedHere(now, sheet);
  if (!now.surface_runway) return planned ? `Off the runways. The plan has ${runway(planned)}.` : "Off the runways.";
  if (now.surface_runway === planned) return `On ${runway(now.surface_runway)}, as planned.`;
  return `On ${runway(now.surface_runway)}` + (planned ? `; the plan has ${runway(planned)}.` : ".");
}

function enRoute(now) {
  const doing = { climb: "Climbing", descent: "Descending", "take-off": "Taking off" }[now.phase] ?? (ARRIVING.has(now.phase) ? byRate(now) : "Level");
  const beside = isBeside(now) && known(now.height_above_path_ft) ? ` Not on the final approach of ${runway(now.runway)}, but ${now.beside} of it.` : "";
  if (!now.destination) return `${doing}. ${beside.trim() || "No destination is known."}`;
  if (known(now.past_destination_nm) && now.closing_speed_kt < 0)
    return `${doing}. ${now.destination} is behind, ${miles(now.distance_to_destination_nm)} away.${beside}`;
  return `${doing}. ${now.destination} is ${miles(now.distance_to_destination_nm)} away, bearing ${heading(now.bearing_to_destination_deg, now)}.${beside}`;
}

function byRate(now) {
  if (!(Math.abs(now.vertical_speed_fpm) >= 50)) return "Level";
  return now.vertical_speed_fpm < 0 ? "Descending" : "Climbing";
}
