// The overlay: the sentence that matters most now, and how far off the path. Nothing else, on nothing.
import { listen } from "./seat.js";
import { abovePath, duration, known } from "./words.js";

const [sentence, path] = ["sentence", "path"].map((id) => document.getElementById(id));
let [now, alerts] = [null, []];

function write(age) {
  const first = alerts.find((alert) => !alert.acknowledged) ?? alerts[0];
  sentence.className = first?.level ?? "";
  const words = first ? `${first.level} ${first.text}` : "";
  if (sentence.dataset.words !== words) {
    sentence.dataset.words = words;
    sentence.replaceChildren();
    if (first) {
      const level = document.createElement("b");
      level.textContent = first.level;
      sentence.append(level, ` ${first.text}`);
    }
  }
  const old = age === null || age > 1;
  document.body.classList.toggle("old", old);
  const off = now && known(now.height_above_path_ft) ? abovePath(now) : "";
  const text = old && age !== null ? `${off ? off + ", " : ""}${duration(age)} old` : off;
  if (path.textContent !== text) path.textContent = text;
}

let latest = null;
listen({
  now(value) { now = value; write(latest); },
  alerts(list) { alerts = list ?? []; write(latest); },
  age(age) { latest = age; write(age); },
}, { aircraft: new URLSearchParams(location.search).get("aircraft") });
