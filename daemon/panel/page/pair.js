// A code that came with the address, as from a camera, is filled in; the person still taps. It never leaves in a log.
const code = decodeURIComponent(location.hash.slice(1));
if (code) {
  document.getElementById("code").value = code;
  history.replaceState(null, "", location.pathname);
}
