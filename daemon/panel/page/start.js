// First the page is painted, then its script is fetched and run: words and paper are there at once.
requestAnimationFrame(() => setTimeout(() => import("./main.js")));
