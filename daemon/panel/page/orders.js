// Orders of a paired operator: one tap each, and nothing counts as done before the desk has said so.
import { layoutOf, runway as spaced } from "./words.js";

export class Orders {
  constructor(ask) {
    this.ask = ask;
    this.waiting = new Map();
    const by = (id) => document.getElementById(id);
    [this.box, this.looking, this.reply, this.runways, this.mute] = ["orders", "only-looking", "reply", "runways", "mute"].map(by);
    by("acknowledge").addEventListener("click", (event) => this.give({ order: "acknowledge" }, event.currentTarget));
    this.mute.addEventListener("click", () => this.give({ order: "mute", muted: this.mute.getAttribute("aria-pressed") !== "true" }, this.mute));
    this.verbosity = [...by("verbosity").querySelectorAll("button")];
    for (const button of this.verbosity) button.addEventListener("click", () => this.give({ order: "verbosity", verbosity: button.value }, button));
    by("weather").addEventListener("submit", (event) => {
      event.preventDefault();
      const report = by("report").value.trim();
      if (report) this.give({ order: "weather", report }, event.submitter ?? by("report"));
    });
  }

  give(order, button = null) {
    const number = this.ask(order);
    if (!number) return this.tell("Not sent: the panel can't be reached.", false);
    this.waiting.set(number, button);
    button?.setAttribute("aria-busy", "true");
    this.tell("Asked. Waiting for the desk.", true);
  }

  replies(list) {
    for (const { id, ok, text } of list) {
      const button = this.waiting.get(id);
      button?.removeAttribute("aria-busy");
      this.waiting.delete(id);
      this.tell(ok ? text : `Refused: ${text}`, ok);
    }
  }

  lost() {
    for (const button of this.waiting.values()) button?.removeAttribute("aria-busy");
    if (this.waiting.size) this.tell("No answer: the panel was lost. Nothing is certain about the last order.", false);
    this.waiting.clear();
  }

  tell(text, ok) {
    this.reply.textContent = text;
    this.reply.classList.toggle("refused", !ok);
  }

  setRole(role) {
    this.operator = role === "operator";
    this.box.hidden = !this.operator;
    this.looking.hidden = this.operator;
  }

  standing(standing) {
    for (const each of this.verbosity) each.setAttribute("aria-pressed", String(each.value === standing?.verbosity));
  }

  health(health) {
    const muted = Boolean(health?.muted);
    this.mute.setAttribute("aria-pressed", String(muted));
    this.mute.textContent = muted ? "Give the voice back" : "Mute the voice";
  }

  // One button for every end of the airfield that matters now.
  ends(sheet, now) {
    const leaving = now && layoutOf(now) === "ground" && now.phase !== "landed";
    const field = (leaving ? sheet?.anchor : sheet?.field?.ident ?? now?.runway ?? sheet?.anchor)?.split("/")[0];
    const ends = (sheet?.ends ?? []).filter((end) => end.name.startsWith(`${field}/`));
    const key = [leaving, ...ends.map((end) => end.name), ...(sheet?.planned ?? [])].join();
    if (key === this.key) return;
    this.key = key;
    this.runways.hidden = ends.length === 0;
    this.runways.querySelector("legend").textContent = leaving ? "Plan to leave from" : "Plan to land on";
    for (const old of this.runways.querySelectorAll("button")) old.remove();
    for (const end of ends) this.runways.append(this.runwayButton(end, leaving, sheet.planned ?? []));
  }

  runwayButton(end, leaving, planned) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = end.runway;
    button.setAttribute("aria-label", `Plan to ${leaving ? "leave from" : "land on"} ${spaced(end.name)}`);
    button.setAttribute("aria-pressed", String(planned.includes(end.name)));
    button.addEventListener("click", () => this.give({ order: "runway", runway: end.name, leaving }, button));
    return button;
  }
}
