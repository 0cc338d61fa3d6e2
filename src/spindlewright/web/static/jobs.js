// The jobs list by keyboard: n new job, / search, arrows choose a job; it searches while you type.

import { replacePart } from "./part.js";

const WAIT_MS = 120;
const form = document.getElementById("search");
const words = document.getElementById("words");
let waiting;

function rows() {
  return [...document.querySelectorAll("[data-row]")];
}

async function search() {
  const address = `/?${new URLSearchParams(new FormData(form))}`;
  try {
    if (await replacePart("jobs", address)) history.replaceState(null, "", address);
  } catch {
    form.submit(); // the browser then tells what is wrong
  }
}

function step(by) {
  const all = rows();
  const now = all.indexOf(document.activeElement);
  if (now < 0 && by < 0) return;
  if (now === 0 && by < 0) words.focus();
  else all[Math.min(all.length - 1, now + by)]?.focus();
}

function isTyping(target) {
  return target.matches("input, textarea, select");
}

words.addEventListener("input", () => {
  clearTimeout(waiting);
  waiting = setTimeout(search, WAIT_MS);
});

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  const typing = isTyping(event.target);
  if (event.key === "ArrowDown") step(1);
  else if (event.key === "ArrowUp") step(-1);
  else if (event.key === "/" && !typing) words.select();
  else if (event.key === "n" && !typing) location.assign("/new");
  else return;
  event.preventDefault();
});
