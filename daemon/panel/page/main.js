// The page: takes the parts as they come, and draws them once a frame of the screen.
import { Alerts, showLive, showLog } from "./book.js";
import { Numbers } from "./numbers.js";
import { Orders } from "./orders.js";
import { listen } from "./seat.js";
import { SideView } from "./side.js";
import { SinkLine } from "./sink.js";
import { TopView } from "./top.js";
import { abovePath, besideCentreline, clock, duration, known, layoutOf, situation } from "./words.js";

const by = (id) => document.getElementById(id);
const root = document.documentElement;
const OLD_S = 1;
const LOST_S = 2;
const DAEMON_GONE_S = 3;
const TRAIL_FT = 180;
const TRAIL_MOST = 900;

const page = { now: null, sheet: null, trail: [], busAge: null };
const side = new SideView(by("side"));
const drawn = [side, new TopView(by("top"), side), new SinkLine(by("sink")), new Numbers(by("numbers"))];
const alerts = new Alerts({
  list: by("alerts"), quiet: by("quiet"), sayNow: by("say-now"), say: by("say"),
  acknowledge: (id) => orders.give({ order: "acknowledge", alert: id }, null),
});
let due = false;

function draw() {
  due = false;
  const { now, sheet } = page;
  if (now) {
    document.body.dataset.layout = layoutOf(now);
    set("situation", situation(now, sheet));
    set("phase", `${now.phase}${now.paused ? ", paused" : ""},`);
    set("clock", clock(now.time_s));
    set("top-caption", caption());
    alerts.tick(now);
    orders.ends(sheet, now);
  }
  for (const part of drawn) part.take(page);
}

function ask4frame() {
  if (!due) requestAnimationFrame(draw);
  due = true;
}

function set(id, text) {
  const node = by(id);
  if (node.textContent !== text) node.textContent = text;
}

function caption() {
  if (layoutOf(page.now) !== "approach") return "North at the top.";
  const wide = drawn[1].widened();
  return "Same distances" + (wide && wide > 1.2 ? `, drawn ${wide < 10 ? wide.toFixed(1) : Math.round(wide)} times wider than long.` : ".");
}

// The figures in words, a few times a minute at most: a screen reader is not a moving picture.
function describe() {
  const { now } = page;
  if (!now) return;
  set("side-words", [abovePath(now), layoutOf(now) === "approach" && known(now.sink_to_hold_fpm) && `sink ${Math.round(-now.vertical_speed_fpm)}, to hold ${Math.round(now.sink_to_hold_fpm)} feet per minute`].filter(Boolean).join("; "));
  set("top-words", [besideCentreline(now), now.tracked_runway && `this track leads to ${now.tracked_runway}`].filter(Boolean).join("; "));
}

function grow(now) {
  if (!now?.place_ft) return;
  const last = page.trail[page.trail.length - 1];
  if (last && Math.hypot(last[0] - now.place_ft[0], last[1] - now.place_ft[1]) < TRAIL_FT) return;
  page.trail.push([...now.place_ft, now.altitude_ft ?? null]);
  if (page.trail.length > TRAIL_MOST) page.trail = page.trail.filter((_, place) => place % 2 === 1 || place > TRAIL_MOST / 2);
}

function tellAge(age, silence) {
  const lost = silence > LOST_S;
  const old = age === null || age > OLD_S || lost;
  document.body.dataset.fresh = lost ? "lost" : age === null ? "waiting" : old ? "old" : "fresh";
  const line = by("age");
  line.hidden = !old;
  if (lost && Number.isFinite(silence)) orders.lost();
  if (!old) return;
  const numbers = age === null ? "No numbers yet" : `These numbers are ${duration(age)} old`;
  const daemon = page.busAge === null || page.busAge > DAEMON_GONE_S ? " The daemon is not heard." : "";
  const text = `${numbers}.${lost ? " The panel can't be reached; trying again." : daemon}`;
  if (line.textContent !== text) line.textContent = text;
}

function showFleet({ names, shown }) {
  if (shown === null) page.now = null;
  by("which").hidden = names.length < 2;
  by("fleet").replaceChildren(...names.map((name) => new Option(name, name, name === shown, name === shown)));
  document.title = shown && shown !== "own" ? `Otherseat: ${shown}` : "Otherseat";
}

const ask = listen({
  now(now) { page.now = now; grow(now); ask4frame(); },
  sheet(sheet) { page.sheet = sheet; page.trail = []; ask4frame(); },
  trace(trail) { page.trail = trail ?? []; ask4frame(); },
  alerts(list) { alerts.take(list ?? []); },
  standing(standing) { showLive(by("live"), standing); orders.standing(standing); },
  log(entries) { showLog(by("log"), entries ?? []); },
  health(health) { orders.health(health); set("voice", health ? `Voice: ${health.voice}${health.muted ? ", muted" : ""}. Daemon ${health.version}.` : ""); },
  fleet: showFleet,
  role(role) { orders.setRole(role); alerts.setOperator(role === "operator"); },
  bus_age_s(age) { page.busAge = age; },
  replies(list) { orders.replies(list); },
  age: tellAge,
}, { aircraft: new URLSearchParams(location.search).get("aircraft") });
const orders = new Orders(ask);

by("fleet").addEventListener("change", (event) => orders.give({ order: "show", aircraft: event.target.value }));
// Choices open once they work: a click before that would be undone.
for (const choice of document.querySelectorAll("[name=theme]")) {
  choice.checked = choice.value === root.dataset.theme;
  choice.disabled = false;
  choice.addEventListener("change", () => { root.dataset.theme = choice.value; keep("theme", choice.value); });
}
for (const name of ["big", "teach"]) {
  by(name).checked = root.classList.contains(name);
  by(name).disabled = false;
  by(name).addEventListener("change", (event) => { root.classList.toggle(name, event.target.checked); keep(name, event.target.checked ? "1" : "0"); });
}

function keep(name, value) {
  try { localStorage.setItem(`otherseat.${name}`, value); } catch { /* a browser that keeps nothing still shows everything */ }
}

setInterval(describe, 3000);
