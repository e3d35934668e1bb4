// Before the first stroke: the paper that was chosen, by the address, by an earlier choice, or by the device.
{
  const asked = new URLSearchParams(location.search);
  const keep = (name) => { try { return localStorage.getItem(`otherseat.${name}`); } catch { return null; } };
  const dark = matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "day";
  const root = document.documentElement;
  const theme = asked.get("theme") ?? keep("theme") ?? dark;
  root.dataset.theme = ["day", "dark", "night"].includes(theme) ? theme : dark;
  for (const name of ["big", "teach"]) root.classList.toggle(name, (asked.get(name) ?? keep(name)) === "1");
}
