// While something is being made, its part of the page is fetched again every second.

import { replacePart } from "./part.js";

const EVERY_MS = 1000;

async function lookAgain() {
  const part = document.querySelector("[data-look-again]");
  if (!part) return;
  await replacePart(part.id, location.pathname).catch(() => {});
  setTimeout(lookAgain, EVERY_MS);
}

setTimeout(lookAgain, EVERY_MS);
