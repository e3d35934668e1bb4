// The written parts: alerts, what is live and what is blind, and the log.
import { clock, duration } from "./words.js";

export class Alerts {
  constructor({ list, quiet, sayNow, say, acknowledge }) {
    Object.assign(this, { list, quiet, sayNow, say, acknowledge });
    this.rows = new Map();
    this.spoken = new Set();
  }

  take(alerts) {
    const standing = new Set(alerts.map((alert) => alert.id));
    for (const [id, row] of this.rows) if (!standing.has(id)) { row.item.remove(); this.rows.delete(id); }
    for (const alert of alerts) this.fill(this.rows.get(alert.id) ?? this.add(alert.id), alert);
    alerts.forEach((alert, place) => {
      const { item } = this.rows.get(alert.id);
      if (this.list.children[place] !== item) this.list.insertBefore(item, this.list.children[place] ?? null);
    });
    this.quiet.hidden = alerts.length > 0;
    this.alerts = alerts;
    this.announce(alerts);
  }

  add(id) {
    const item = document.createElement("li");
    const [level, text, since, done] = ["strong", "span", "span", "button"].map((name) => document.createElement(name));
    [level.className, text.className, since.className] = ["level", "sentence", "since"];
    done.type = "button";
    done.textContent = "Acknowledge";
    done.addEventListener("click", () => this.acknowledge(id));
    item.append(level, " ", text, " ", since, " ", done);
    const row = { item, level, text, since, done };
    this.rows.set(id, row);
    return row;
  }

  fill({ item, level, text, done }, alert) {
    item.className = alert.level;
    item.classList.toggle("acknowledged", alert.acknowledged);
    if (level.textContent !== alert.level) level.textContent = alert.level;
    if (text.textContent !== alert.text) text.textContent = alert.text;
    done.hidden = !this.operator || alert.acknowledged;
    done.setAttribute("aria-label", `Acknowledge: ${alert.text}`);
  }

  setOperator(operator) {
    this.operator = operator;
    if (this.alerts) this.take(this.alerts);
  }

  // A sentence is worded anew every second; beside it stands for how long it has been so.
  tick(now) {
    for (const alert of this.alerts ?? []) {
      const words = `for ${duration(now.time_s - alert.raised_s)}${alert.acknowledged ? ", acknowledged" : ""}`;
      const { since } = this.rows.get(alert.id);
      if (since.textContent !== words) since.textContent = words;
    }
  }

  // Tells a screen reader each sentence once: a warning at once, the rest when there is a pause.
  announce(alerts) {
    const now = new Set(alerts.map((alert) => `${alert.id} ${alert.level}`));
    for (const alert of alerts) {
      if (this.spoken.has(`${alert.id} ${alert.level}`)) continue;
      (alert.level === "warning" ? this.sayNow : this.say).textContent = `${alert.level}: ${alert.text}`;
    }
    this.spoken = now;
  }
}

const plain = (name) => name.replaceAll("-", " ");
const unitless = (name) => name.trim().replace(/_(kg_per_h|deg|ft|kt|fpm|nm|hpa|c|kg|s|ratio)$/, "").replaceAll("_", " ");

export function showLive(list, standing) {
  const rows = Object.entries(standing?.live ?? {}).map(([name, how]) => {
    const item = document.createElement("li");
    const live = how === "live";
    item.className = live ? "is-live" : "is-blind";
    const word = document.createElement("strong");
    word.textContent = live ? "live" : "blind";
    const lacks = how.startsWith("lacks ") ? `waits for ${how.slice(6).split(",").map(unitless).join(", ")}` : how;
    item.append(word, ` ${plain(name)}${live ? "" : `: ${lacks}`}`);
    return item;
  });
  list.replaceChildren(...rows);
}

// The newest first: it is what one looks for.
export function showLog(list, entries) {
  const rows = entries.toReversed().map((entry) => {
    const item = document.createElement("li");
    item.className = entry.level;
    const [time, text, note] = ["time", "span", "small"].map((name) => document.createElement(name));
    time.textContent = clock(entry.time_s);
    const level = entry.level === "call" ? "" : `${entry.level}: `;
    text.textContent = level + entry.text;
    const notes = [entry.said > 1 && `said ${entry.said} times`, entry.acknowledged && "acknowledged", entry.over_s !== null && `over after ${duration(entry.over_s - entry.time_s)}`].filter(Boolean);
    note.textContent = notes.join(", ");
    item.append(time, " ", text, " ", note);
    return item;
  });
  list.replaceChildren(...rows);
}
