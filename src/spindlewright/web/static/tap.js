// Tap the turns: notes when it was tapped and shows what the bench makes of it. It computes no speed itself.

import { drawCourse } from "./tap_course.js";

const PAUSE_S = 12; // longer than two turns at the slowest speed: counting was interrupted
const KEPT = "spindlewright-taps";
const SAME_TAP_MS = 120;

const byId = (id) => document.getElementById(id);
const pad = byId("pad");
const least = Number(pad.dataset.least);
const facts = ["drive", "motor", "speed_trim"].map(byId);
const speeds = [...document.querySelectorAll("input[name=nominal]")];
let state = { taps: [], earlier: [], nominal: null, facts: {} };
let counting = 0;
let lastInput = 0;

// what is kept over a reload

function keep() {
  state.nominal = nominal().value;
  state.facts = Object.fromEntries(facts.map((field) => [field.id, field.value]));
  try {
    localStorage.setItem(KEPT, JSON.stringify(state));
  } catch {
    // a browser that keeps nothing: the count lasts as long as the page
  }
}

function restore() {
  try {
    state = { ...state, ...JSON.parse(localStorage.getItem(KEPT) ?? "{}") };
  } catch {
    return;
  }
  if (!new URLSearchParams(location.search).has("rpm")) {
    const chosen = speeds.find((radio) => radio.value === state.nominal);
    if (chosen) chosen.checked = true;
  }
  facts.forEach((field) => {
    field.value = state.facts[field.id] ?? "unknown";
  });
}

const nominal = () => speeds.find((radio) => radio.checked);
const show = (element, visible) => {
  element.hidden = !visible;
};

// tapping

function tap(event) {
  const at = (performance.timeOrigin + event.timeStamp) / 1000;
  const last = state.taps.at(-1);
  if (last !== undefined && at - last > PAUSE_S) {
    if (state.taps.length >= least) state.earlier = state.taps;
    state.taps = [];
  }
  if (last !== undefined && at <= last) return;
  state.taps.push(at);
  pad.classList.add("tapped");
  setTimeout(() => pad.classList.remove("tapped"), SAME_TAP_MS);
  changed();
}

function changed() {
  keep();
  show(byId("taken") ?? byId("refused"), false);
  showCount();
  if (state.taps.length >= least) count();
  else {
    counting += 1;
    clearResult();
  }
}

function showCount() {
  const taps = state.taps.length;
  byId("take-out").disabled = byId("anew").disabled = taps === 0;
  show(byId("earlier"), state.earlier.length > 0);
  const take = byId("take-it");
  if (take) take.disabled = taps < least || !byId("job").value;
}

function clearResult() {
  const taps = state.taps.length;
  const { begin, more } = byId("under").dataset;
  byId("figure").textContent = taps;
  byId("under").textContent = taps ? `${least - taps} ${more}` : begin;
  for (const id of ["off", "tap-count", "result", "course-part", "refused", "told"]) show(byId(id), false);
  show(byId("before-result"), true);
}

// asking

async function ask(address, body) {
  const answer = await fetch(address, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
  const told = await answer.json();
  return answer.ok ? told : Promise.reject(new Error(told.message));
}

function body() {
  const first = state.taps[0];
  return { tap_times_s: state.taps.map((at) => at - first), nominal_rpm: Number(nominal().value) };
}

async function count() {
  const mine = ++counting;
  const job = byId("job")?.value || null;
  try {
    const told = await ask("/api/counted-turns", { ...body(), ...(job ? { job } : state.facts) });
    if (mine === counting) showResult(told);
  } catch (problem) {
    if (mine === counting) refuse(problem.message, "counting");
  }
}

function refuse(message, what) {
  byId("refused").textContent = message;
  byId("refused").dataset.what = what;
  show(byId("refused"), true);
}

// showing

function showResult(told) {
  const { shown } = told;
  byId("figure").textContent = shown.speed;
  byId("under").textContent = `± ${shown.uncertainty} rpm`;
  byId("off").textContent = `${shown.deviation} ± ${shown.deviation_uncertainty} % of ${nominal().dataset.name}`;
  byId("tap-count").textContent = `${told.taps} taps, ${told.turns} turns`;
  byId("told").textContent = [told.told, told.doubt].filter(Boolean).map(sentence).join(" ");
  byId("headline").textContent = told.headline;
  show(byId("headline"), told.moves.length === 0);
  byId("said").textContent = told.taps % 5 ? "" : `${shown.speed} plus or minus ${shown.uncertainty} rpm`;
  byId("moves").replaceChildren(...told.moves.map((move) => filled("move-template", move)));
  const cautions = [...new Set(told.moves.flatMap((move) => move.cautions))];
  byId("cautions").replaceChildren(...cautions.map((text) => filled("caution-template", { text })));
  drawCourse(byId("course"), told.course);
  if (byId("refused").dataset.what === "counting") show(byId("refused"), false); // a refusal of taking it into a job stays
  show(byId("told"), Boolean(told.told || told.doubt));
  for (const id of ["off", "tap-count", "result", "course-part"]) show(byId(id), true);
  show(byId("before-result"), false);
}

const sentence = (words) => `${words[0].toUpperCase()}${words.slice(1)}.`;

function filled(template, words) {
  const made = byId(template).content.cloneNode(true);
  for (const [name, text] of Object.entries(words)) {
    const place = made.querySelector(`[data-${name}]`);
    if (place) place.textContent = text;
  }
  return made;
}

// keys, fingers, buttons

function isOurs(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return false;
  const on = event.target;
  if (on !== pad && on.closest("input, select, textarea, button, a, summary")) return false;
  return true;
}

document.addEventListener("keydown", (event) => {
  if (!isOurs(event)) return;
  const taps = event.key.length === 1 || event.key === "Enter";
  if (taps && !event.repeat) {
    lastInput = event.timeStamp;
    tap(event);
  } else if (event.key === "Backspace") takeOut();
  else if (event.key === "Escape") anew();
  else if (!taps) return;
  event.preventDefault();
});

document.addEventListener("keyup", (event) => {
  if (event.target === pad && event.key === " ") event.preventDefault(); // or it would click, too
});

pad.addEventListener("pointerdown", (event) => {
  if (event.button !== 0) return;
  lastInput = event.timeStamp;
  tap(event);
});

pad.addEventListener("click", (event) => {
  // a click that neither key nor finger made: an aid for reading or pointing
  if (event.detail === 0 && event.timeStamp - lastInput > 700) tap(event);
});

function takeOut() {
  state.taps.pop();
  changed();
}

function anew() {
  if (state.taps.length >= least) state.earlier = state.taps;
  state.taps = [];
  changed();
}

byId("take-out").addEventListener("click", takeOut);
byId("anew").addEventListener("click", anew);
byId("earlier").addEventListener("click", () => {
  [state.taps, state.earlier] = [state.earlier, []];
  changed();
  pad.focus();
});
byId("tap-settings").addEventListener("change", changed);
facts.forEach((field) => field.addEventListener("change", changed));

byId("job")?.addEventListener("change", (event) => {
  byId("stage").value = event.target.selectedOptions[0].dataset.stage ?? "before";
  changed();
});

byId("take")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const number = byId("job").value;
  try {
    const kept = await ask(`/api/jobs/${encodeURIComponent(number)}/counted-turns`, {
      ...body(),
      stage: byId("stage").value,
    });
    const link = byId("taken-link");
    link.href = kept.page;
    link.textContent = byId("job").selectedOptions[0].textContent;
    byId("take-it").disabled = true;
    show(byId("refused"), false);
    show(byId("taken"), true);
    link.focus();
  } catch (problem) {
    refuse(problem.message, "taking");
  }
});

restore();
changed();
pad.focus({ preventScroll: true });
