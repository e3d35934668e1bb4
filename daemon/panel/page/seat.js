// Otherseat's own client for pages: import { listen } from "/seat.js", then say which parts you want.
//
//   listen({ now: (picture) => { ... }, alerts: (list) => { ... } });
//
// Parts: now, alerts, log, sheet, trace, plan, standing, health, fleet, role, replies. Each tells how things are; it
// comes again when it changes. `age` is called several times a second with the seconds since the newest picture
// and, apart from that, since anything came at all. Returns ask(order), which sends an order such as
// { order: "acknowledge" }, and gives its number or, when nothing is connected, false; its reply arrives in `replies`.
export function listen(parts, { aircraft } = {}) {
  let socket, wait = 250, number = 0, age = null, heard = -Infinity;
  const seconds = () => performance.now() / 1000, query = aircraft ? "?aircraft=" + encodeURIComponent(aircraft) : "";
  function connect() {
    socket = new WebSocket(location.origin.replace(/^http/, "ws") + "/feed" + query);
    socket.onmessage = (event) => {
      const frame = JSON.parse(event.data);
      [wait, heard, age] = [250, seconds(), frame.age_s];
      for (const name in frame) if (frame[name] !== null) parts[name]?.(frame[name]);
      parts.age?.(age, 0);
    };
    socket.onclose = () => setTimeout(connect, (wait = Math.min(wait * 1.6, 3000)));
  }
  setInterval(() => {
    if (seconds() - heard > 6 && socket.readyState === WebSocket.OPEN) socket.close();
    parts.age?.(age === null ? null : age + seconds() - heard, seconds() - heard);
  }, 200);
  connect();
  return (order) => socket.readyState === WebSocket.OPEN && (socket.send(JSON.stringify({ id: ++number, ...order })), number);
}
