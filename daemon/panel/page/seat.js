// Otherseat's own client for pages: import { listen } from "/seat.js", then say which parts you want.
//
//   listen({ now: (picture) => { ... }, alerts: (list) => { ... } });
//
// Parts: now, alerts, log, sheet, trace, plan, standing, health, fleet, role, replies. Each tells how things are; it
// comes again when it changes. `age` is called several times a second with the seconds since the newest picture
// and, apart from that, since anything came at all. Returns ask(order), which sends an order such as
// { order: "acknowledge" }; its reply arrives in `replies`.
export function listen(parts, { aircraft } = {}) {
  let socket, wait = 250, number = 0, age = null, heard = -Infinity, waiting;
  const seconds = () => performance.now() / 1000;
  function connect() {
    const query = aircraft ? "?aircraft=" + encodeURIComponent(aircraft) : "";
    socket = new WebSocket(location.origin.replace(/^http/, "ws") + "/feed" + query);
    socket.onmessage = (event) => {
      const frame = JSON.parse(event.data);
      (wait = 250), (heard = seconds()), (age = frame.age_s);
      for (const name in frame) parts[name]?.(frame[name]);
      parts.frame?.(frame);
    };
    socket.onclose = () => { clearTimeout(waiting); waiting = setTimeout(connect, (wait = Math.min(wait * 1.6, 3000))); };
  }
  setInterval(() => parts.age?.(age === null ? null : age + seconds() - heard, seconds() - heard), 200);
  connect();
  return (order) => {
    if (socket.readyState !== WebSocket.OPEN) return null;
    socket.send(JSON.stringify({ id: ++number, ...order }));
    return number;
  };
}
